"""Addresses and forms of the pit with what nobody should send: an answer below 500, and nothing stored."""

import pytest
from django.urls import reverse

from tests.factories import EntryFactory, EventFactory, PitSessionFactory

VALUES = (
    "", "٣", "²", "-1", "9" * 20, "1" * 5000, "NaN", "a\0b", "'\"<b>🦘", "1-2-3", "٣-٣-٣", "\r\nX: //example.org",
)  # fmt: skip

FORMS = {
    "record": ("turn", "flag", "why", "protest", "digits", "sign", "tenths", "guess", "answered", "picked"),
    "ready": ("referee", "board_100"),
    "stop": ("do", "reason"),
    "winds": ("do", "reason", "1-1-0"),
    "writer": ("name", "next"),
}


@pytest.fixture
def elsewhere(db):
    """A session, an event and an entry of another meet."""
    session = PitSessionFactory()
    return session, EntryFactory(event=EventFactory(meet=session.pit.meet, discipline="LJ"))


@pytest.mark.parametrize(
    "target", ["٣", "x", "desk", "//example.org", "https://example.org/", "/\\example.org", "", "\0"]
)
def test_the_way_back_leads_to_an_address_of_ours_or_to_the_list(desk_client, target):
    answer = desk_client.post(reverse("pit:writer"), {"name": "A", "next": target})
    assert (answer.status_code, answer.url) == (302, reverse("pit:sessions"))


def test_a_name_is_kept_without_signs_that_cannot_be_stored(desk_client):
    desk_client.post(reverse("pit:writer"), {"name": "Ms\0 Amble\x07wright\n"})
    assert desk_client.session["pit_writer"] == "Ms Amblewright"
    assert desk_client.post(reverse("pit:writer"), {"name": "\0"}).status_code == 422


@pytest.mark.parametrize("field", ["turn", "flag", "why", "digits", "sign", "tenths", "step"])
def test_the_screen_does_not_break_on_what_stands_behind_its_address(pit, field):
    for value in VALUES:
        whole = {"turn": pit.turn_name(), "flag": "white", "digits": "443", field: value}
        assert pit.page("session", **whole).status_code == 200, value


@pytest.mark.parametrize(("name", "field"), [(name, field) for name, fields in FORMS.items() for field in fields])
def test_no_form_breaks_on_a_field(pit, name, field):
    good = {"record": {"turn": pit.turn_name(), "flag": "white", "digits": "443", "sign": "+", "tenths": "4"}}
    good |= {"stop": {"do": "look"}, "winds": {"do": "fill"}, "ready": {"board_100": "1.00"}, "writer": {"name": "A"}}
    for value in VALUES:
        sent = {**good[name], field: value}
        answer = pit.client.post(reverse("pit:writer"), sent) if name == "writer" else pit.send(name, **sent)
        assert answer.status_code in (200, 302, 422), value


@pytest.mark.parametrize(
    ("do", "field"),
    [("correct", field) for field in ("do", "seen", "flag", "digits", "why", "sign", "tenths", "reason", "usual")]
    + [("move", "to_entry"), ("replace", "reason"), ("take-back", "seen")],
)
def test_nothing_is_put_right_by_nonsense(pit, do, field):
    turn = pit.up
    pit.record(flag="white", digits="443", sign="+", tenths="14")
    good = {"do": do, "flag": "white", "digits": "434", "reason": "misheard", "seen": ""}
    for value in VALUES:
        assert pit.send("trial", *turn, **{**good, field: value}).status_code == 422, value
    assert pit.state.entry(turn.entry).by_round[1].mark == 443


@pytest.mark.parametrize(
    ("do", "field"),
    [
        ("back", "do"), ("away", "where"), ("away", "back_at"), ("late", "round"), ("late", "reason"),
        ("no-more", "reason"), ("board", "board_cm"), ("board", "other"),
    ],
)  # fmt: skip
def test_no_form_about_an_athlete_breaks(pit, do, field):
    for value in VALUES:
        answer = pit.send("athlete", pit.key("9"), **{"do": do, "round": "1", "board_cm": "100", field: value})
        assert answer.status_code in (200, 302, 422), value


@pytest.mark.parametrize(
    ("do", "field"),
    [
        ("order", "do"), ("trials", "version"), ("trials", "referee"), ("trials", "cut"), ("cut", "otherwise"),
        ("cut", "going_on"), ("cut", "reason"), ("close", "referee"),
    ],
)  # fmt: skip
def test_no_decision_breaks(pit, do, field):
    for value in VALUES:
        sent = {"do": do, "version": "1", "referee": "Mr Referton", field: value}
        assert pit.send("decide", pit.event.pk, **sent).status_code in (302, 422), value
    assert pit.state.cuts == ()


@pytest.mark.parametrize("number", [0, 999_999, 10**9, 10**18, 10**30])
def test_numbers_in_an_address_that_name_nothing_are_not_found(pit, number):
    for name in ("session", "record", "everybody", "ready", "stop", "winds", "places"):
        ask = pit.client.post if name == "record" else pit.client.get
        assert ask(reverse(f"pit:{name}", args=[number])).status_code == 404
    assert pit.page("athlete", number).status_code == 404
    assert pit.page("decide", number).status_code == 404
    assert pit.page("trial", number, 1, 0).status_code == 404
    assert pit.page("trial", pit.key("1"), number, 0).status_code == 404
    assert pit.page("trial", pit.key("1"), 1, number or 99).status_code == 404


def test_people_and_events_of_another_meet_are_not_found(pit, elsewhere):
    session, entry = elsewhere
    assert pit.page("athlete", entry.pk).status_code == 404
    assert pit.page("trial", entry.pk, 1, 0).status_code == 404
    assert pit.page("decide", entry.event.pk).status_code == 404
    answers = {"flag": "white", "digits": "443", "sign": "+", "tenths": "4", "turn": f"{entry.pk}-1-0"}
    assert pit.send("record", **answers).status_code == 302
    assert not entry.event.log.exists()
    assert pit.client.get(reverse("pit:session", args=[session.pk]), {"turn": pit.turn_name()}).status_code == 200
