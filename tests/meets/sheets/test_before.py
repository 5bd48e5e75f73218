"""Start lists and forms against the database, for an event that is drawn or not."""

from datetime import UTC, datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from meets.running import actions
from meets.running.reads import state_of
from meets.sheets.lists import field_sheet, flights, start_list, wind_list
from meets.sheets.printing import KINDS, event_sheet
from meets.sheets.reads import events, known
from tests.factories import (
    EntryFactory,
    EventFactory,
    PitFactory,
    PitSessionFactory,
    SessionPartFactory,
)
from tests.meets.sheets.conftest import DESK, NOW
from tests.meets.sheets.reading import words

BEFORE = [key for key, kind in KINDS.items() if not kind.is_result]


def in_order(event):
    """Entries of an event in the order of its draw, straight from its log."""
    entries = {str(entry.pk): entry for entry in event.entries.select_related("athlete__school")}
    drawn = event.log.filter(kind="drawn").latest("rev").values["flights"]
    return [[entries[key] for key in flight] for flight in drawn]


def test_the_officials_list_holds_every_entry_of_the_database_in_order(event):
    text = words(event_sheet(KINDS["start-list"], known(event, NOW)))
    rows = []
    for order, entry in enumerate(in_order(event)[0], 1):
        string = "guest" if entry.guest else entry.string
        seed = f"{entry.seed_mark / 100:.2f} +0.7, 8 May 2027"
        parts = (order, entry.bib, entry.athlete, entry.athlete.school, string, entry.athlete.school_year, seed)
        rows.append(" ".join(str(part) for part in parts if part != ""))
    assert len(rows) == 14
    assert " ".join(rows) in text


@pytest.mark.parametrize("key", BEFORE)
def test_every_sheet_names_meet_event_place_times_and_version(event, key):
    text = words(event_sheet(KINDS[key], known(event, NOW)))
    for part in (
        "Pyddle Vale Schools’ Jumps",
        "U15 Girls Long Jump",
        "Saturday 12 June 2027 · North pit · report 13:20 · start 13:50",
        "3 trials, best 8 get 3 more",
        "start list version 1 · printed 12 June 2027, 14:22",
    ):
        assert part in text


@pytest.mark.parametrize("key", BEFORE)
def test_no_sheet_shows_a_birth_date(event, key):
    text = words(event_sheet(KINDS[key], known(event, NOW)))
    born = {entry.athlete.born for entry in event.entries.select_related("athlete")}
    assert [day for day in born if f"{day:%Y}" in text or f"{day:%d/%m}" in text] == []


def test_the_announcer_reads_how_to_say_a_name(event):
    assert "Zofia Łukasik zoh-FEE-ah woo-KAH-sheek" in words(event_sheet(KINDS["announcer"], known(event, NOW)))


def test_a_new_draw_is_a_new_version_in_the_new_order(event):
    actions.draw(event_id=event.pk, seed=8, **DESK)
    text = words(event_sheet(KINDS["field-sheet"], known(event, NOW)))
    assert "start list version 2" in text
    first, second = in_order(event)[0][:2]
    assert text.index(f"1 {first.bib} {first.athlete}") < text.index(f"2 {second.bib} {second.athlete}")


def test_the_field_sheet_is_numbered_by_the_event_and_has_the_only_board(event):
    text = words(event_sheet(KINDS["field-sheet"], known(event, NOW)))
    assert f"sheet {event.pk}-1" in text
    assert text.count("1 m ") >= 14


def test_not_drawn_yet_is_in_order_of_bibs_and_says_so(meet):
    event = EventFactory(meet=meet, discipline="LJ")
    for bib in ("10", "9", "B", "A"):
        EntryFactory(event=event, bib=bib)
    found = start_list(known(event, NOW))
    assert found.flights[0].title == "Not drawn yet: in order of bibs"
    assert [(line.order, line.bib) for line in found.flights[0].lines] == [("", "9"), ("", "10"), ("", "A"), ("", "B")]
    assert found.about.version == "start list not drawn yet"


def test_a_triple_jumper_has_her_board_and_the_other_event_with_its_time(meet):
    triple = EventFactory(meet=meet, discipline="TJ", name="U15 Girls Triple Jump")
    other = EventFactory(
        meet=meet, discipline="LJ", name="U15 Girls Long Jump", starts_at=datetime(2027, 6, 12, 13, 20, tzinfo=UTC)
    )
    entry = EntryFactory(event=triple, board_cm=900)
    EntryFactory(event=other, athlete=entry.athlete)
    line = start_list(known(triple, NOW)).flights[0].lines[0]
    assert (line.board, line.also_in) == ("9 m", ("U15 Girls Long Jump 14:20",))
    actions.draw(event_id=triple.pk, seed=1, **DESK)
    actions.set_board(event_id=triple.pk, entry=str(entry.pk), board_cm=700, **DESK)
    assert start_list(known(triple, NOW)).flights[0].lines[0].board == "7 m"


def test_flights_at_two_pits_say_where_and_when(meet):
    event = EventFactory(meet=meet, discipline="LJ", rule_changes={"flight_size": "4"})
    for _ in range(8):
        EntryFactory(event=event)
    for number, name in enumerate(("North", "South"), 1):
        session = PitSessionFactory(pit=PitFactory(meet=meet, name=name), starts_at=NOW.replace(hour=9 + number))
        SessionPartFactory(event=event, flight=number, session=session)
    actions.draw(event_id=event.pk, seed=3, **DESK)
    found = known(event, NOW)
    assert found.about.pit == "North, South"
    assert [flight.title for flight in flights(found)] == ["Flight 1 · North · 11:22", "Flight 2 · South · 12:22"]


def test_events_of_one_block_know_of_each_other(event):
    session = event.session_parts.get().session
    other = EventFactory(meet=event.meet, name="U13 Girls Long Jump", age_group="U13")
    later = EventFactory(meet=event.meet, name="U17 Girls Long Jump", age_group="U17")
    SessionPartFactory(event=other, session=session, block=1)
    SessionPartFactory(event=later, session=session, block=2)
    assert known(event, NOW).about.together_with == "Jumps together with U13 Girls Long Jump"


@pytest.mark.parametrize(("entries", "lines"), [(5, 5), (8, 8), (14, 8)])
def test_the_second_block_has_a_line_for_everybody_who_may_go_on(meet, entries, lines):
    event = EventFactory(meet=meet, discipline="LJ")
    for _ in range(entries):
        EntryFactory(event=event)
    found = known(event, NOW)
    assert (field_sheet(found).later_lines, wind_list(found).later_lines) == (lines, lines)


def test_the_paper_is_the_meets_unless_another_is_asked_for(event):
    assert known(event, NOW).about.paper == "A4"
    assert known(event, NOW, "letter").about.paper == "letter"


def test_added_at_the_pit_says_so(event):
    late = EntryFactory(event=event, bib="99", status="pending")
    actions.add_at_pit(entry=late, flight=1, **DESK)
    assert state_of(event).entry(str(late.pk)).pending
    line = start_list(known(event, NOW)).flights[0].lines[-1]
    assert (line.bib, line.string, line.note) == ("99", "guest", "added at the pit, to be confirmed")


def test_queries_do_not_grow_with_the_entries(meet):
    asked = []
    for entries in (1, 3):
        pk = EventFactory(meet=meet, name=f"Event of {entries}", age_group=f"U{entries}").pk
        for _ in range(entries):
            EntryFactory(event=events(meet).get(pk=pk))
        actions.draw(event_id=pk, seed=1, **DESK)
        event = events(meet).get(pk=pk)
        with CaptureQueriesContext(connection) as queries:
            known(event, NOW)
        asked.append(len(queries))
    assert asked[0] == asked[1]


def test_events_that_share_no_list_do_not_jump_together(event):
    """One has a flight in the first list of a session and a flight in the second of another; the other the reverse."""
    first = event.session_parts.get().session
    second = PitSessionFactory(pit=PitFactory(meet=event.meet))
    event.session_parts.update(flight=1, block=1)
    SessionPartFactory(event=event, session=second, flight=2, block=2)
    other = EventFactory(meet=event.meet, name="U17 Girls Long Jump", age_group="U17")
    SessionPartFactory(event=other, session=first, flight=1, block=2)
    part = SessionPartFactory(event=other, session=second, flight=2, block=1)
    assert known(event, NOW).about.together_with == ""
    part.block = 2
    part.save()
    assert known(event, NOW).about.together_with == "Jumps together with U17 Girls Long Jump"


@pytest.mark.parametrize("key", ["start-list", "announcer", "steward"])
def test_a_start_list_names_the_impairment_class(event, key):
    event.entries.filter(bib="13").update(klass="T20")
    assert words(event_sheet(KINDS[key], known(event, NOW))).count("class T20") == 1
