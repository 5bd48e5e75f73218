"""One event from its first trial to its amended result: recorder, desk, parents at the live board, public result."""

import json

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.urls import reverse

from meets.models import Publication
from meets.publishing.verify import verify
from meets.running import actions
from meets.running.actions import DESK, PIT
from meets.running.reads import state_of
from tests.browser.test_pit_screen import GHOST_MS, confirm, white
from tests.factories import START, EntryFactory, EventFactory, OrganiserFactory, PitSessionFactory, SessionPartFactory
from tests.patience import within

pytestmark = [pytest.mark.browser, pytest.mark.slow]

SOON_MS = within(2000)
"""A trial that is stored is seen by everybody within this time."""
MARKS = {"31": ("543", "512", "530"), "17": ("543", "538", "499"), "22": ("501", "487", "515")}


@pytest.fixture
def event(transactional_db):
    event = EventFactory(
        name="U15 girls long jump", discipline="LJ", boards_cm=[100], meet__rule_set="three-only",
        meet__is_public=True, meet__public_names="full", meet__name="Pyddle Vale jumps",
    )  # fmt: skip
    for bib, name in zip(MARKS, ("Zoë O’Brindlow", "Élodie Ångmar", "Ксения Ωmega"), strict=True):
        first, _space, last = name.partition(" ")
        EntryFactory(
            event=event, bib=bib, seed_mark=None, board_cm=None, athlete__first_name=first, athlete__last_name=last
        )
    actions.draw(event_id=event.pk, seed=7, by="Desk", recorder=DESK, now=START)
    actions.sign_readiness(event_id=event.pk, by="Referee", recorder=PIT, now=START)
    SessionPartFactory(event=event, session=PitSessionFactory(pit__meet=event.meet))
    return event


@pytest.fixture
def people(chromium, live_server, client, event):
    """Recorder and desk, both signed in, and a parent who is not; what goes wrong in a page fails the test."""
    client.force_login(OrganiserFactory(username="desk"))
    client.post(reverse("pit:writer"), {"name": "R. Corder"})
    cookie = client.cookies[settings.SESSION_COOKIE_NAME].value
    contexts, problems = [], []

    def page(width, signed_in):
        context = chromium.new_context(viewport={"width": width, "height": 740}, has_touch=width < 700)
        contexts.append(context)
        if signed_in:
            context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": cookie, "url": live_server.url}])
        page = context.new_page()
        page.set_default_timeout(10_000)
        page.on("pageerror", lambda problem: problems.append(str(problem)))
        return page

    yield page(360, True), page(1366, True), page(360, False)
    for context in contexts:
        context.close()
    assert problems == []


def in_order(page):
    """No violation of accessibility that axe knows of, contrast and labels among them."""
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()


def publish(desk, address, status, **fields):
    desk.goto(address)
    desk.check(f"[name=status][value={status}]")
    for name, value in fields.items():
        desk.fill(f"[name={name}]", value)
    with desk.expect_navigation():
        desk.click("main form button.main")


def test_from_the_first_trial_to_the_amended_result(people, live_server, event):
    recorder, desk, parent = people
    slug = event.meet.slug
    live, result = (live_server.url + reverse(name, args=[slug, event.pk]) for name in ("board:event", "results:event"))

    # A parent looks before it begins, and stays.
    parent.goto(live)
    assert "Élodie Ångmar" in parent.inner_text("#list")
    in_order(parent)

    recorder.goto(live_server.url + reverse("pit:session", args=[event.session_parts.get().session_id]))
    white(recorder, MARKS[up(event)][0], "+", "14")
    confirm(recorder)
    parent.wait_for_selector("#list :text('+1.4')", timeout=SOON_MS)
    in_order(parent)
    while not state_of(event).stage.is_over:
        turn = state_of(event).callable[0].turn
        white(recorder, MARKS[up(event)][turn.round - 1], "-", "3")
        confirm(recorder)
        if recorder.locator("[name=answered]").count():  # as for two equal marks one after the other
            recorder.wait_for_timeout(GHOST_MS)
            with recorder.expect_navigation():
                recorder.tap("[name=answered]")
    parent.wait_for_selector("#list :text('5.15')", timeout=SOON_MS)
    in_order(parent)

    # The desk posts it: the time for protests starts. 31 and 17 are equal; the better second mark decides.
    desk_page = live_server.url + reverse("publishing:event", args=[slug, event.pk])
    publish(desk, desk_page, "provisional")
    parent.goto(result)
    assert [places(parent), "rotests" in parent.inner_text("main")] == [[("1", "17"), ("2", "31"), ("3", "22")], True]
    in_order(parent)

    # The referee does not wait; a week later it turns out who may not have jumped.
    publish(desk, desk_page, "official", referee="R. Feree")
    parent.goto(result)
    assert parent.inner_text(".beside-heading, .heading").count("Official") == 1
    desk.goto(live_server.url + reverse("desk:decide", args=[slug, event.pk, "disqualify"]))
    desk.select_option("[name=entry]", str(event.entries.get(bib="17").pk))
    desk.fill("[name=reason]", "too old for the group")
    with desk.expect_navigation():
        desk.click("main form button:is(.main, .stern)")
    publish(desk, desk_page, "amended", reason="A birth date was wrong on the entry.")

    parent.goto(result)
    assert places(parent) == [("1", "31"), ("2", "22")]
    assert "DQ" in parent.inner_text("main table")
    in_order(parent)
    for page in (f"{result}2/", f"{result}versions/"):
        parent.goto(page)
        assert "superseded" in parent.inner_text("main").lower()
        in_order(parent)
    assert "A birth date was wrong on the entry." in parent.inner_text("main")
    for name in ("board:meet", "results:meet"):
        parent.goto(live_server.url + reverse(name, args=[slug]))
        in_order(parent)

    # What anybody may download holds when it is worked out again.
    published = parent.request.get(f"{result}result.json").body()
    assert json.loads(published)["document"]["status"] == Publication.Status.AMENDED
    assert verify(published).holds
    assert parent.request.get(f"{result}result.pdf").body().startswith(b"%PDF")


def up(event):
    return event.entries.get(pk=state_of(event).callable[0].turn.entry).bib


def places(page):
    """Place and bib of those who have a place, as the table says them."""
    rows = (
        page.locator("main table")
        .first.locator("tbody tr")
        .evaluate_all(
            "rows => rows.map((row) => ['.place', '.bib'].map((part) => row.querySelector(part)?.innerText ?? ''))"
        )
    )
    return [(place.strip(), bib) for place, bib in rows if place.strip()]
