"""The desk in a browser: ticks that store themselves, a page that renews itself, nothing wider than the screen."""

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from meets.desk import urls
from meets.desk.start.reads import check_in_of
from meets.models import Meet
from tests.meets.desk.conftest import desk

pytestmark = [pytest.mark.browser, pytest.mark.slow]


@pytest.fixture
def three(transactional_db, three):
    return three


@pytest.fixture
def page(chromium, live_server, organiser):
    """A page of a browser in which the organiser is signed in; errors of the page fail the test."""
    client = Client()
    client.force_login(organiser)
    context = chromium.new_context(locale="en-GB")
    context.add_cookies(
        [
            {
                "name": settings.SESSION_COOKIE_NAME,
                "value": client.cookies[settings.SESSION_COOKIE_NAME].value,
                "url": live_server.url,
            }
        ]
    )
    page = context.new_page()
    errors = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.on("console", lambda said: errors.append(said.text) if said.type == "error" else None)
    yield page
    context.close()
    assert errors == []


def test_a_tick_stores_itself_and_says_so(three, page, live_server):
    page.goto(live_server.url + desk(three.event, "check-in/"))
    page.locator("label.tick").first.click()
    page.wait_for_selector("text=stored")
    assert page.inner_text("#check-in-counts").startswith("1 here, 0 not here, 2 not asked yet")
    assert check_in_of(three.event).counts == (1, 0, 2)


def test_a_form_pressed_twice_is_sent_once(organiser, transactional_db, page, live_server):
    page.goto(live_server.url + "/desk/new/")
    page.fill("[name=name]", "Autumn jumps")
    page.fill("[name=date]", "2027-09-18")
    page.check("[name=age_scheme][value=uk-2026]")
    sent = []
    page.on("request", lambda request: sent.append(request.url) if request.method == "POST" else None)
    page.dblclick("button.main")
    page.wait_for_selector("text=is set up")
    assert sent == [live_server.url + "/desk/new/"]
    assert Meet.objects.count() == 1


def test_the_page_of_an_event_renews_itself_and_keeps_the_focus(three, page, live_server):
    three.draw().jump("5.01+1.0")
    page.goto(live_server.url + desk(three.event))
    page.locator(".cell").first.focus()
    before = page.evaluate("document.activeElement.id")
    three.jump("5.77+1.0")
    page.wait_for_selector("table :text('5.77')", timeout=15_000)
    assert page.evaluate("document.activeElement.id") == before != ""


@pytest.mark.parametrize("width", [360, 768, 1366])
def test_no_page_is_wider_than_the_screen(three, session, page, live_server, width):
    three.draw().jump("5.01+1.0", "5.77+2.4", "x")
    page.set_viewport_size({"width": width, "height": 800})
    names = ("meet", "settings", "rules", "programme", "add_events", "pits", "schools", "standings", "event", "draw")
    more = ("check_in", "cut", "log", "winds", "event_settings", "new_meet", "change_meet", "new_session")
    more += ("records", "new_record_book", "standards", "standards_file", "next_meet")
    wide = {}
    for pattern in urls.urlpatterns:
        if pattern.name in names + more:
            values = {"meet": "spring-jumps", "event_id": three.event.pk}
            wanted = {name: values[name] for name in pattern.pattern.converters}
            page.goto(live_server.url + reverse(f"desk:{pattern.name}", kwargs=wanted))
            wide[pattern.name] = page.evaluate("document.documentElement.scrollWidth")
    assert {name: found for name, found in wide.items() if found > width} == {}
    assert len(wide) == len(names + more)
