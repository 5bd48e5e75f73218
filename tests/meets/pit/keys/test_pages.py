"""The pages of the pit on an official's phone: which key opens which, and whose name the log keeps."""

from uuid import uuid4

import pytest
from django.test import Client, RequestFactory
from django.urls import reverse
from django.utils import timezone

from meets.pit.keys.access import COOKIE, device_of
from meets.pit.keys.actions import close_key, join, revoke_device, revoke_key
from meets.pit.sync.contacts import Contact, contact
from meets.running.actions import sign_readiness
from scoring.state import Stage
from tests.factories import MEET_DAY, EntryFactory, EventFactory, PitSessionFactory, SessionPartFactory
from tests.meets.pit.conftest import PIT_BY, AtPit, play
from tests.meets.pit.keys.codes import a_key

OFFICIAL = "Ms Amblewright"
PAGES = {
    "session": (),
    "record": (),
    "everybody": (),
    "athlete": ("entry",),
    "trial": ("entry", 1, 0),
    "ready": (),
    "stop": (),
    "winds": (),
    "places": (),
    "decide": ("event",),
}
OPEN_TO = {
    "recorder": {"session", "record", "everybody", "athlete", "trial", "ready", "stop", "winds", "places"},
    "second": {"stop"},
    "gauge": {"stop", "winds"},
    "referee": set(PAGES),
    "display": set(),
}


@pytest.fixture
def event(event):
    """Of a meet on the day of the test, as its keys end with the meet."""
    event.meet.date = timezone.localdate()
    event.meet.save()
    return event


def phone_with(*roles, session=None, event=None, official=OFFICIAL) -> Client:
    """A browser that has come in with a key."""
    key = a_key(session=session, event=event, roles=list(roles))
    return browser_of(join(secret=key.secret, official=official, app_version="1", now=timezone.now()).token)


def browser_of(token: str) -> Client:
    client = Client()
    client.cookies[COOKIE] = token
    return client


def page_of(name, session, event, entry=None):
    known = {"event": event.pk, "entry": (entry or event.entries.first()).pk}
    return reverse(f"pit:{name}", args=[session.pk, *(known.get(part, part) for part in PAGES[name])])


def ask(client, name, session, event):
    """Look at a page; what only takes answers gets one that changes nothing."""
    address = page_of(name, session, event)
    return client.post(address) if name == "record" else client.get(address)


def open_with(client, session, event):
    """What of all pages is open: not refused, and no way to sign in."""
    found = set()
    for name in PAGES:
        answer = ask(client, name, session, event)
        assert answer.status_code in (200, 302, 403)
        if answer.status_code != 403:
            found.add(name)
    return found


@pytest.mark.parametrize("role", OPEN_TO)
def test_which_role_opens_which_page(session, event, role):
    assert open_with(phone_with(role, session=session), session, event) == OPEN_TO[role]


def test_roles_of_one_code_add_up(session, event):
    assert open_with(phone_with("second", "gauge", session=session), session, event) == {"stop", "winds"}


def test_a_key_opens_its_own_session_alone(session, event):
    other = EventFactory(meet=event.meet, discipline="LJ", age_group="U17")
    EntryFactory(event=other)
    elsewhere = PitSessionFactory(pit__meet=event.meet)
    SessionPartFactory(event=other, session=elsewhere)
    assert open_with(phone_with("referee", session=session), elsewhere, other) == set()


def test_a_key_of_an_event_opens_the_sessions_that_hold_it_and_nothing_of_another_event(session, event):
    other = EventFactory(meet=event.meet, discipline="LJ", age_group="U17")
    stranger = EntryFactory(event=other)
    SessionPartFactory(event=other, session=session, position=1)
    elsewhere = PitSessionFactory(pit__meet=event.meet)
    client = phone_with("referee", event=event)
    assert open_with(client, session, event) == set(PAGES)
    of_an_event = {"athlete", "trial", "decide"}
    assert open_with(client, session, other) == set(PAGES) - of_an_event
    assert open_with(client, elsewhere, event) == set()
    turn = {"turn": f"{stranger.pk}-1-0", "flag": "red", "why": "line"}
    assert client.post(page_of("record", session, event), turn).status_code == 403
    assert client.get(page_of("session", session, event), turn).status_code == 403


def test_whoever_has_neither_account_nor_code_is_sent_to_sign_in(client, session, event):
    for name in PAGES:
        assert ask(client, name, session, event).url.startswith(reverse("desk:sign_in"))


@pytest.mark.parametrize("name", ["sessions", "writer"])
def test_a_phone_has_one_page_to_go_back_to(session, event, name):
    assert phone_with("recorder", session=session).get(reverse(f"pit:{name}")).url == reverse("pit:phone")
    assert Client().get(reverse(f"pit:{name}")).url.startswith(reverse("desk:sign_in"))


@pytest.mark.parametrize("what", ["phone", "key"])
def test_a_phone_that_is_locked_out_is_told_what_to_do(session, event, what):
    key = a_key(session=session, roles=["recorder"])
    phone = join(secret=key.secret, official=OFFICIAL, app_version="1", now=timezone.now())
    now = timezone.now()
    revoke_device(device=phone.device, now=now) if what == "phone" else revoke_key(key=key, now=now)
    page = browser_of(phone.token).get(page_of("session", session, event))
    assert page.status_code == 403
    assert "This phone is locked out" in page.text
    assert "Go on with paper" in page.text
    assert reverse("pit:phone") in page.text


def test_a_code_that_is_closed_leaves_the_pages_open(session, event):
    key = a_key(session=session, roles=["recorder"])
    phone = join(secret=key.secret, official=OFFICIAL, app_version="1", now=timezone.now())
    close_key(key=key)
    assert browser_of(phone.token).get(page_of("session", session, event)).status_code == 200


def test_a_forged_cookie_opens_nothing(session, event):
    page = browser_of("forged").get(page_of("session", session, event))
    assert page.status_code == 403
    assert "does not know this phone" in page.text


def test_long_after_the_meet_nothing_is_written(session, event):
    client = phone_with("recorder", session=session)
    event.meet.date = MEET_DAY.replace(year=2001)
    event.meet.save()
    assert "Ask the desk" in client.get(page_of("session", session, event)).text


def at_pit(session, event, *roles) -> AtPit:
    return AtPit(phone_with(*roles, session=session), session, event)


def test_the_official_of_the_phone_is_who_writes_and_nobody_is_asked(session, event):
    pit = at_pit(session, event, "recorder")
    sign_readiness(event_id=event.pk, **PIT_BY)
    assert pit.record(flag="red", why="line").status_code == 302
    assert [row.by for row in event.log.filter(kind="jumped")] == [OFFICIAL]
    assert "Who is writing" not in pit.page("session").text


def test_after_a_hand_over_the_next_one_writes_and_nothing_else_changes(session, event):
    """The name is changed on the phone; the server hears it with the next contact."""
    key = a_key(session=session, roles=["recorder"])
    phone = join(secret=key.secret, official=OFFICIAL, app_version="1", now=timezone.now())
    said = Contact(phone.device.pk, uuid4(), max_seq=3, unsent=3, clock_off_s=0, app_version="1", official="S. Econd")
    contact(said=said, caller=device_of_token(phone.token), now=timezone.now())
    pit = AtPit(browser_of(phone.token), session, event)
    sign_readiness(event_id=event.pk, **PIT_BY)
    pit.record(flag="red", why="line")
    assert event.log.get(kind="jumped").by == "S. Econd"
    phone.device.refresh_from_db()
    assert (phone.device.official, phone.device.number, phone.device.unsent) == ("S. Econd", 1, 3)


def device_of_token(token):
    return device_of(RequestFactory().post("/", headers={"Authorization": f"Bearer {token}"}))


def test_a_phone_without_a_name_writes_under_its_number(session, event):
    key = a_key(session=session, roles=["recorder"])
    phone = join(secret=key.secret, official="", app_version="1", now=timezone.now())
    pit = AtPit(browser_of(phone.token), session, event)
    sign_readiness(event_id=event.pk, **PIT_BY)
    pit.record(flag="red", why="line")
    assert event.log.get(kind="jumped").by == "phone 1"


def test_an_account_that_is_signed_in_comes_before_the_code(desk_client, session, event):
    client = phone_with("gauge", session=session)
    desk_client.cookies[COOKIE] = client.cookies[COOKIE].value
    assert "Who is writing" in desk_client.get(page_of("session", session, event)).text


def test_only_a_referee_signs_off_and_lets_it_go_on(session, event):
    recorder, referee = at_pit(session, event, "recorder"), at_pit(session, event, "referee")
    recorder.send("ready", board_100="1.00", referee=OFFICIAL)
    assert [row.kind for row in event.log.exclude(kind="drawn")] == ["board_checked"]
    referee.send("ready", referee=OFFICIAL)
    assert referee.state.ready
    recorder.send("stop", do="stop")
    assert "The referee says when it goes on" in recorder.send("stop", do="go-on").text
    assert recorder.state.stage is Stage.SUSPENDED
    assert referee.send("stop", do="go-on").status_code == 302
    assert referee.state.stage is Stage.DRAWN


def test_a_decision_is_signed_by_the_referee_of_the_phone(session, event):
    sign_readiness(event_id=event.pk, **PIT_BY)
    play(event, until_round=3)
    recorder, referee = at_pit(session, event, "recorder"), at_pit(session, event, "referee")
    page = referee.page("decide", event.pk)
    assert f"signed by {OFFICIAL}" in page.text
    assert 'name="referee"' not in page.text
    (due,) = page.context["page"].kinds
    said = {"do": due, "version": referee.state.version}
    assert recorder.send("decide", event.pk, **said).status_code == 403
    assert referee.send("decide", event.pk, **said, referee="Somebody Else").status_code == 302
    assert event.log.order_by("rev").last().by == OFFICIAL


def test_forms_of_a_phone_carry_their_own_token(session, event):
    phone = phone_with("recorder", session=session)
    strict = Client(enforce_csrf_checks=True)
    strict.cookies[COOKIE] = phone.cookies[COOKIE].value
    assert strict.post(page_of("stop", session, event), {"do": "stop"}).status_code == 403
    assert not event.log.filter(kind="suspended").exists()


def test_a_decision_leads_back_to_the_page_of_the_phone(session, event, organiser):
    back = reverse("pit:phone")
    text = phone_with("referee", session=session).get(page_of("decide", session, event)).text
    assert text.count(f'href="{back}"') == 2
    signed_in = Client()
    signed_in.force_login(organiser)
    assert f'href="{back}"' not in signed_in.get(page_of("decide", session, event), follow=True).text
