"""Two people have one form open: what the second stores must not undo unseen what the first has stored."""

import pytest

from meets.desk.pits.actions import Part, store_session
from meets.models import Entry
from meets.running import actions
from tests.factories import EntryFactory, PitFactory, SchoolFactory
from tests.meets.desk.conftest import desk

UNSEEN = "Somebody has changed this since you opened the page. Nothing of yours is stored. "


@pytest.fixture
def pages(meet, event, session):
    """The addresses of the forms that change something standing."""
    return {
        "meet": f"/desk/{meet.slug}/settings/change/",
        "meet's rules": f"/desk/{meet.slug}/settings/rules/",
        "programme": f"/desk/{meet.slug}/programme/",
        "event": desk(event, "settings/"),
        "event's rules": desk(event, "settings/rules/"),
        "pit": f"/desk/{meet.slug}/pits/{session.pit_id}/",
        "session": f"/desk/{meet.slug}/sessions/{session.pk}/",
        "school": f"/desk/{meet.slug}/schools/{SchoolFactory(name='Thornwick').pk}/",
        "draw": desk(event, "draw/"),
        "entry": f"/desk/{meet.slug}/entries/{EntryFactory(event=event, bib='7').pk}/",
    }


def opened(desk_client, address):
    """What the page of a form would send if nothing were changed in it."""
    answer = desk_client.get(address)
    form = answer.context["form"]
    assert answer.content.decode().count('name="seen"') == 1
    values = {name: form[name].field.prepare_value(form[name].value()) for name in form.fields}
    return {name: str(value) for name, value in values.items() if value not in (None, "", False)}


CASES = [
    ("meet", {"venue": "Upper field"}, {"name": "May jumps"}, "Venue: Upper field."),
    ("meet", {"deadline": "2027-05-01T12:00"}, {"name": "May jumps"}, "Entries close: 2027-05-01 12:00:00."),
    ("meet's rules", {"trial_seconds": "45"}, {"flight_size": "9"}, ": 45."),
    ("programme", {"start": "10:30"}, {"report": "10:00"}, "Start, U15 girls long jump: 10:30."),
    ("event", {"boards_cm": "1 2"}, {"name": "Girls' long jump"}, "Boards, metres from the sand: 1 2."),
    ("event's rules", {"trial_seconds": "45"}, {"flight_size": "9"}, ": 45."),
    ("pit", {"gauge": "G 2"}, {"sand_cm": "8"}, "Wind gauge: G 2."),
    ("session", {"start": "11:15"}, {"name": "Late morning"}, "Start: 11:15."),
    ("school", {"name": "Thornwick Academy"}, {"code": "THA"}, "Name: Thornwick Academy."),
    ("entry", {"bib": "70"}, {"say_it": "See-la"}, "Bib: 70."),
    ("entry", {"say_it": "See-la"}, {"bib": "70"}, "How to say the name: See-la."),
    ("entry", {"born": "2013-01-02", "guest": "True"}, {"bib": "70"}, "Guest: yes; Date of birth: 2013-01-02."),
    ("draw", {"method": "lot"}, {"method": "seeded"}, "Start list, version: 1."),
]


@pytest.mark.parametrize(("page", "first", "second", "now"), CASES)
def test_the_second_of_two_is_refused_and_told_what_stands(desk_client, three, pages, page, first, second, now):
    address, key = pages[page], str(three.event.pk)
    if page == "programme":
        first, second = ({f"{name}_{key}": value for name, value in sent.items()} for sent in (first, second))
    as_opened = opened(desk_client, address)
    assert desk_client.post(address, {**as_opened, **first}).status_code == 302
    answer = desk_client.post(address, {**as_opened, **second})
    assert answer.status_code == 422
    [says] = answer.context["form"].non_field_errors()
    assert (says.startswith(UNSEEN), says.endswith(now)) == (True, True), says
    assert f'<a href="{address}">Open the form anew</a>' in answer.content.decode()
    stored = {**opened(desk_client, address), "seen": ""}
    if page != "draw":
        assert {name: stored[name] for name in first} == {name: _as_shown(value) for name, value in first.items()}
    anew = {**opened(desk_client, address), **second}
    assert desk_client.post(address, anew).status_code == 302


def test_an_entry_withdrawn_since_is_not_changed(desk_client, pages):
    as_opened = opened(desk_client, pages["entry"])
    desk_client.post(pages["entry"] + "withdraw/")
    answer = desk_client.post(pages["entry"], {**as_opened, "bib": "70"})
    assert (answer.status_code, answer.context["form"].non_field_errors()) == (
        422,
        [UNSEEN + "Status: withdrawn before the meet."],
    )
    assert (f'<a href="{pages["entry"]}">Open the form anew</a>' in answer.content.decode()) is True
    assert Entry.objects.get().bib == "7"


def test_a_status_is_changed_from_the_one_that_was_seen(desk_client, pages):
    """Sent twice from one page: the second is told how it stands by now."""
    status = desk_client.get(pages["entry"]).context["status_form"]["seen"].value()
    sent = {"status-seen": status() if callable(status) else status}
    desk_client.post(pages["entry"] + "withdraw/", sent)
    again = desk_client.post(pages["entry"] + "withdraw/", sent, follow=True)
    assert [str(said) for said in again.context["messages"]][-1:] == [UNSEEN + "Status: withdrawn before the meet."]
    assert Entry.objects.get().status == "withdrawn"


def _as_shown(value):
    if value.startswith("2027"):
        return "2027-05-01 12:00:00"
    return f"{value}:00" if ":" in value else value


def test_check_in_of_two_people_each_keeps_what_the_other_ticked(desk_client, three):
    three_keys = three.keys
    address = desk(three.event, "check-in/")
    actions.draw(**three.who, seed=7)
    sent = opened_check_in(desk_client, address)
    desk_client.post(address, {**sent, f"here_{three_keys['1']}": "not"})
    desk_client.post(address, {**sent, f"here_{three_keys['2']}": "here"})
    # A page that was open since before the first answer, where another answer was given by now.
    actions.check_in(**three.who, here=[three_keys["1"]])
    desk_client.post(address, {**sent, f"here_{three_keys['3']}": "here"})
    assert [three.state.entry(three_keys[bib]).checked_in for bib in "123"] == [True, True, True]


def test_a_page_of_check_in_left_open_does_not_undo_an_answer_given_since(desk_client, three):
    keys = three.keys
    actions.draw(**three.who, seed=7)
    actions.check_in(**three.who, here=[keys["1"]])
    address = desk(three.event, "check-in/")
    sent = opened_check_in(desk_client, address)
    assert sent[f"here_{keys['1']}"] == "here"
    actions.did_not_start(**three.who, entry=keys["1"])
    desk_client.post(address, {**sent, f"here_{keys['2']}": "here"})
    assert (three.state.entry(keys["1"]).status, three.state.entry(keys["2"]).checked_in) == ("DNS", True)


def opened_check_in(desk_client, address):
    form = desk_client.get(address).context["form"]
    return {name: form[name].value() for name in form.fields if form[name].value()}


def test_a_wind_that_somebody_else_has_typed_meanwhile_is_said(desk_client, three):
    three.draw().jump("5.01", "5.02", "5.03")
    one, two = three.state.owed_winds[:2]
    address = desk(three.event, "winds/")
    actions.record_wind(**three.who, turn=one, wind="+1.0")
    sent = {f"wind_{one.entry}_1_0": "+2.1", f"wind_{two.entry}_1_0": "+0.4"}
    answer = desk_client.post(address, sent)
    bib = three.event.entries.get(pk=one.entry).bib
    assert (answer.status_code, answer.context["form"].non_field_errors()) == (
        422,
        [
            f"Bib {bib}, round 1 has a wind by now; the +2.1 typed here is not stored. "
            "Look at the trial and correct it there."
        ],
    )
    assert two in three.state.owed_winds


def test_a_session_that_was_given_other_parts_is_not_emptied_unseen(desk_client, meet, event, session, pages):
    as_opened = opened(desk_client, pages["session"])
    part = Part(event.pk, 0, 2)
    store_session(
        meet=meet, session=session, pit=PitFactory(meet=meet, name="Pit 2"), name="x", start=None, parts=[part]
    )
    answer = desk_client.post(pages["session"], as_opened)
    [says] = answer.context["form"].non_field_errors()
    assert (says.startswith(UNSEEN), "Pit: Pit 2" in says) == (True, True)
