"""Packs in a browser: one press makes them and sends the letters one by one; the page shows how far that is."""

import pytest
from django.urls import reverse

from meets.models import Mailing
from tests.meets.desk.test_in_browser import page  # noqa: F401
from tests.meets.publishing.packs.days import PublishedDay

pytestmark = [pytest.mark.browser, pytest.mark.slow]


@pytest.fixture
def day(transactional_db, settings, tmp_path):
    settings.EMAIL_BACKEND = "meets.publishing.packs.mail_files.EmailBackend"
    settings.EMAIL_FILE_PATH = tmp_path / "mail"
    return PublishedDay().all_results()


def test_one_press_sends_every_pack_and_says_so(day, page, live_server):  # noqa: F811
    sent = []
    page.on("request", lambda request: sent.append(request.url) if request.url.endswith("/packs/send/") else None)
    page.goto(live_server.url + reverse("packs:list", args=[day.meet.slug]))
    page.click("text=Make packs and send them")
    page.wait_for_selector("text=3 letters have been tried.")
    assert list(Mailing.objects.values_list("state", flat=True)) == ["sent"] * 3
    assert len(sent) == 3
    assert page.locator(".letter-sent").count() == 3


@pytest.mark.parametrize("width", [360, 768, 1366])
def test_nothing_is_wider_than_the_screen(day, page, live_server, width):  # noqa: F811
    day.in_line()
    Mailing.objects.all().update(state="unsure", outcome="The connection broke after the letter had been given over.")
    page.set_viewport_size({"width": width, "height": 800})
    for name in ("list", "certificates", "medals"):
        page.goto(live_server.url + reverse(f"packs:{name}", args=[day.meet.slug]))
        assert page.evaluate("document.documentElement.scrollWidth") <= width
