"""A field sheet put into the log: what it implies, what it is asked about, what it disagrees with."""

import re
from datetime import UTC, datetime

import pytest

from meets.models import Entry
from meets.running import actions
from meets.running.actions import DESK, PIT, Overtaken, Refusal
from meets.running.on_paper import FieldSheet, LaterBlock, SheetTrial
from meets.running.reads import state_of
from meets.running.sheet import read_sheet, record_sheet
from scoring.log import Turn
from scoring.state import Stage
from tests.factories import EntryFactory, EventFactory
from tests.played import once

NOW = datetime(2027, 6, 12, 15, 0, tzinfo=UTC)
DESK_BY = {"by": "Organiser", "recorder": DESK, "now": NOW}
PIT_BY = {"by": "Recorder", "recorder": PIT, "now": NOW}
PAPER_BY = {"by": "A. Keane and B. Lodder", "now": NOW}
BOX = re.compile(r"(?P<text>x/\d+\.\d\d|\d+\.\d\d|[x\-ro])(?P<wind>[+-]\d\.\d|0\.0|NWI)?")
# Nobody equals anybody: after three rounds 11 leads and 20 is last of ten.
FIRST = "\n".join(f"{10 + n} {5.60 - n / 20:.2f}+0.{n % 10} x {5.40 - n / 20:.2f}+0.{n % 9 + 1}" for n in range(1, 11))
LATER = "\n".join(f"{bib} 5.0{bib % 10}+1.{bib % 10} x -" for bib in range(18, 10, -1))


def keys_of(event):
    return {entry.bib: str(entry.pk) for entry in event.entries.all()}


def boxes(keys, table, first_round):
    for line in table.strip().splitlines():
        bib, *trials = line.split()
        for round, trial in enumerate(trials, first_round):
            if trial not in (".", "dns"):
                found = BOX.fullmatch(trial)
                yield SheetTrial(keys[bib], round, found["text"], found["wind"] or "")


def a_sheet(event, first=FIRST, later=LATER, **more):
    keys = keys_of(event)
    bibs = [line.split()[0] for line in first.strip().splitlines()]
    later_bibs = [line.split()[0] for line in later.strip().splitlines()]
    dns = tuple(keys[line.split()[0]] for line in first.strip().splitlines() if "dns" in line)
    blocks = (LaterBlock(4, tuple(keys[bib] for bib in later_bibs)),) if later_bibs else ()
    trials = (*boxes(keys, first, 1), *boxes(keys, later, 4))
    return FieldSheet(tuple(keys[bib] for bib in bibs), trials, dns, blocks, **more)


def ticks(event, sheet):
    return [question.key for question in read_sheet(event, sheet).questions]


@pytest.fixture
def event(db):
    event = EventFactory(discipline="LJ")
    for bib in range(11, 21):
        EntryFactory(event=event, bib=str(bib), seed_mark=None)
    actions.draw(event_id=event.pk, seed=7, **DESK_BY)
    return event


def test_a_whole_sheet_finishes_the_event(event):
    sheet = a_sheet(event)
    reading = read_sheet(event, sheet)
    assert (reading.refused, reading.questions, reading.differences, reading.alarms) == ([], [], [], ())
    assert not reading.departs
    record_sheet(event_id=event.pk, sheet=sheet, **PAPER_BY)
    state = state_of(event)
    keys = keys_of(event)
    assert state.stage is Stage.FINISHED
    assert state.alarms == ()
    [cut] = state.cuts
    assert cut.going_on == tuple(keys[str(bib)] for bib in range(11, 19))
    assert (state.places[0].entry, state.places[0].best, state.places[0].place) == (keys["11"], 555, 1)
    kinds = list(event.log.order_by("rev").values_list("kind", flat=True))
    assert kinds.count("jumped") == 10 * 3 + 8 * 3
    assert kinds.count("checked_in") == 10
    assert [kind for kind in kinds if kind in ("trials_confirmed", "cut_taken", "order_called")] == [
        "trials_confirmed",
        "cut_taken",
        "order_called",
    ]
    after_the_draw = event.log.filter(rev__gt=1)
    assert set(after_the_draw.values_list("recorder", "by")) == {("paper sheet", "A. Keane and B. Lodder")}
    assert not event.log.filter(kind="cut_taken").exclude(reason="").exists()


def test_typing_again_what_is_in_the_log_is_refused(event):
    sheet = a_sheet(event)
    record_sheet(event_id=event.pk, sheet=sheet, **PAPER_BY)
    version = state_of(event).version
    with pytest.raises(Refusal, match="typed in from a sheet before"):
        record_sheet(event_id=event.pk, sheet=sheet, **PAPER_BY)
    assert state_of(event).version == version


def test_three_rounds_alone_leave_the_decisions_open(event):
    record_sheet(event_id=event.pk, sheet=a_sheet(event, later=""), **PAPER_BY)
    state = state_of(event)
    assert state.stage is Stage.IN_PROGRESS
    assert state.trials_proposal.starters == 10
    assert state.cuts == ()


def test_seven_starters_have_an_order_and_no_cut(event):
    first = FIRST.splitlines()
    first[7:] = [f"{bib} dns" for bib in (18, 19, 20)]
    later = "\n".join(f"{bib} 5.00+0.{bib % 10} 5.01+1.{bib % 10} x" for bib in range(17, 10, -1))
    sheet = a_sheet(event, "\n".join(first), later)
    record_sheet(event_id=event.pk, sheet=sheet, ticked=ticks(event, sheet), **PAPER_BY)
    state = state_of(event)
    keys = keys_of(event)
    assert (state.stage, state.cuts, state.starters, state.alarms) == (Stage.FINISHED, (), 7, ())
    assert [state.entry(keys[str(bib)]).status for bib in (18, 19, 20)] == ["DNS"] * 3


def test_another_cut_than_the_marks_give_needs_its_reason(event):
    later = LATER.replace("18 ", "19 ")
    sheet = a_sheet(event, later=later)
    reading = read_sheet(event, sheet)
    [departing] = [decision.sentence for decision in reading.decisions if decision.departs]
    assert "By the trials bib 19 would not." in departing
    assert "By the trials bib 18 would too." in departing
    with pytest.raises(Refusal, match="write why"):
        record_sheet(event_id=event.pk, sheet=sheet, ticked=ticks(event, sheet), **PAPER_BY)
    assert state_of(event).version == 1
    record_sheet(event_id=event.pk, sheet=sheet, ticked=ticks(event, sheet), reason="18 hurt a heel", **PAPER_BY)
    assert event.log.get(kind="cut_taken").reason == "18 hurt a heel"


def test_everybody_on_the_second_block_means_no_cut_was_made(event):
    later = "\n".join(f"{bib} 5.00+0.{bib % 10} x -" for bib in range(20, 10, -1))
    sheet = a_sheet(event, later=later)
    reading = read_sheet(event, sheet)
    assert reading.departs
    record_sheet(event_id=event.pk, sheet=sheet, ticked=ticks(event, sheet), reason="time enough", **PAPER_BY)
    state = state_of(event)
    assert (state.stage, state.cuts) == (Stage.FINISHED, ())


def test_two_equal_for_the_last_place_both_go_on_as_proposed(event):
    first = FIRST.splitlines()
    first[8] = first[7].replace("18 ", "19 ", 1)
    later = LATER + "\n19 4.90+0.1 x -"
    reading = read_sheet(event, a_sheet(event, "\n".join(first), later))
    assert not reading.departs


def test_an_order_that_differs_is_stored_as_written(event):
    later = "\n".join(reversed(LATER.splitlines()))
    sheet = a_sheet(event, later=later)
    record_sheet(event_id=event.pk, sheet=sheet, **PAPER_BY)
    keys = keys_of(event)
    row = event.log.get(kind="order_called")
    assert row.values["order"] == [keys[str(bib)] for bib in range(11, 19)]
    assert row.values["proposed"] == [keys[str(bib)] for bib in range(18, 10, -1)]
    assert row.reason == "as written on the field sheet"


def test_an_order_that_was_not_written_is_the_proposed_one(event):
    later = "\n".join(reversed(LATER.splitlines()))
    record_sheet(event_id=event.pk, sheet=a_sheet(event, later=later, order_written=False), **PAPER_BY)
    row = event.log.get(kind="order_called")
    assert row.values["order"] == row.values["proposed"]


def test_a_gap_before_later_rounds_is_refused_and_stores_nothing(event):
    first = FIRST.replace("13 5.45+0.3 x", "13 5.45+0.3 .")
    reading = read_sheet(event, a_sheet(event, first))
    assert reading.refused == ["Bib 13 has nothing in round 2, and the sheet goes on. Type a mark, x, - or r."]
    with pytest.raises(Refusal, match="Bib 13 has nothing in round 2"):
        record_sheet(event_id=event.pk, sheet=a_sheet(event, first), **PAPER_BY)
    assert state_of(event).version == 1


def test_a_gap_at_the_end_is_asked_about(event):
    sheet = a_sheet(event, later=LATER.replace("18 5.08+1.8 x -", "18 5.08+1.8 x ."))
    [question] = read_sheet(event, sheet).questions
    assert question.sentence == "Bib 18 has nothing in round 6. Is that box empty on the paper?"
    with pytest.raises(Refusal, match="every question"):
        record_sheet(event_id=event.pk, sheet=sheet, **PAPER_BY)
    record_sheet(event_id=event.pk, sheet=sheet, ticked=[question.key], **PAPER_BY)
    assert [turn.turn.round for turn in state_of(event).callable] == [6]


def test_who_retires_needs_no_more_boxes(event):
    sheet = a_sheet(event, later=LATER.replace("18 5.08+1.8 x -", "18 5.08+1.8 r ."))
    assert read_sheet(event, sheet).questions == []


def test_a_slip_is_asked_about_beside_its_box(event):
    later = LATER.replace("16 5.06+1.6", "16 4.06+1.6")
    [question] = read_sheet(event, a_sheet(event, later=later)).questions
    assert (question.entry, question.round) == (keys_of(event)["16"], 4)
    assert question.sentence == "5.06 or 4.06? Bib 16 usually jumps about 5.20."


def test_what_cannot_be_is_refused_with_its_box(event):
    reading = read_sheet(event, a_sheet(event, FIRST.replace("12 5.50", "12 9.99")))
    assert reading.refused[0].startswith("Bib 12, round 1: Bib 12: 9.99 cannot be")


def test_no_gauge_on_the_sheet_is_declared_for_its_trials_only(event):
    bare = re.compile(r"[+-]\d\.\d")
    sheet = a_sheet(event, bare.sub("", FIRST), "", no_gauge=True)
    record_sheet(event_id=event.pk, sheet=sheet, **PAPER_BY)
    state = state_of(event)
    assert state.owed_winds == ()
    assert {trial.wind.tenths for entry in state.entries for trial in entry.by_round.values()} == {None}
    assert not state.no_gauge


def test_a_wind_left_out_is_owed(event):
    record_sheet(event_id=event.pk, sheet=a_sheet(event, FIRST.replace("13 5.45+0.3", "13 5.45"), ""), **PAPER_BY)
    assert state_of(event).owed_winds == (Turn(keys_of(event)["13"], 1),)


def test_measured_under_protest_counts_once_upheld(event):
    sheet = a_sheet(event, FIRST.replace("20 5.10+0.0", "20 x/5.30+0.4"), "")
    record_sheet(event_id=event.pk, sheet=sheet, **PAPER_BY)
    state = state_of(event)
    [protest] = state.protests
    entry = keys_of(event)["20"]
    assert (protest.entry, protest.round, state.entry(entry).best) == (entry, 1, 490)


def play_at_the_pit(event, table):
    """Record every box of a table as the pit would have."""
    once(event, lambda: _play_at_the_pit(event, table), table)


def _play_at_the_pit(event, table):
    boxes_by_turn = {(box.entry, box.round): box for box in boxes(keys_of(event), table, 1)}
    while state_of(event).callable:
        turn = state_of(event).callable[0].turn
        if (turn.entry, turn.round) not in boxes_by_turn:
            return
        box = boxes_by_turn[turn.entry, turn.round]
        actions.record_trial(
            event_id=event.pk, turn=turn, trial=box.text, wind=box.wind, answered=True, **PIT_BY
        )  # fmt: skip


def test_a_sheet_confirms_what_the_pit_recorded(event):
    play_at_the_pit(event, FIRST)
    sheet = a_sheet(event, later="")
    reading = read_sheet(event, sheet)
    assert (reading.confirmed, reading.differences, reading.questions) == (30, [], [])
    record_sheet(event_id=event.pk, sheet=sheet, **PAPER_BY)
    state = state_of(event)
    assert {turn.confirmed for entry in state.entries for turn in entry.turns} == {True}
    assert state.disputes == ()


def test_a_box_that_differs_from_the_pit_is_a_disagreement_for_the_referee(event):
    play_at_the_pit(event, FIRST)
    first = FIRST.replace("13 5.45+0.3", "13 5.54+0.3").replace("14 5.40+0.4", "14 5.40-0.4")
    sheet = a_sheet(event, first, later="")
    reading = read_sheet(event, sheet)
    keys = keys_of(event)
    assert [(d.entry, d.round, d.on_sheet, d.recorded) for d in reading.differences] == [
        *sorted(
            [(keys["13"], 1, "5.54 +0.3", "5.45 +0.3"), (keys["14"], 1, "5.40 -0.4", "5.40 +0.4")],
            key=lambda d: [line.entry for line in sheet.trials].index(d[0]),
        )
    ]
    record_sheet(event_id=event.pk, sheet=sheet, ticked=ticks(event, sheet), **PAPER_BY)
    assert set(state_of(event).disputes) == {Turn(keys["13"], 1), Turn(keys["14"], 1)}


def test_paper_takes_over_after_the_pit_took_the_cut(event):
    play_at_the_pit(event, FIRST)
    actions.confirm_trials(event_id=event.pk, **DESK_BY)
    actions.take_cut(event_id=event.pk, **DESK_BY)
    sheet = a_sheet(event, first="", later=LATER)
    reading = read_sheet(event, sheet)
    assert (reading.refused, reading.decisions) == ([], [])
    record_sheet(event_id=event.pk, sheet=sheet, **PAPER_BY)
    assert state_of(event).stage is Stage.FINISHED


def test_the_box_belongs_to_the_replacement_trial_that_counts(event):
    play_at_the_pit(event, FIRST.replace("13 5.45+0.3 x 5.25+0.4", "13 5.45+0.3"))
    turn = Turn(keys_of(event)["13"], 1)
    actions.give_replacement(event_id=event.pk, turn=turn, reason="raked too soon", **DESK_BY)
    actions.record_trial(
        event_id=event.pk, turn=Turn(turn.entry, 1, 1), trial="5.30", wind="+0.3", answered=True, **PIT_BY
    )  # fmt: skip
    sheet = FieldSheet((turn.entry,), (SheetTrial(turn.entry, 1, "5.30", "+0.3"),))
    assert read_sheet(event, sheet).confirmed == 1


def test_a_sheet_of_a_field_that_was_never_drawn_is_its_order(db):
    event = EventFactory(discipline="LJ")
    for bib in range(11, 21):
        EntryFactory(event=event, bib=str(bib), seed_mark=None)
    first = "\n".join(reversed(FIRST.splitlines()))
    record_sheet(event_id=event.pk, sheet=a_sheet(event, first), **PAPER_BY)
    state = state_of(event)
    keys = keys_of(event)
    assert state.flights == (tuple(keys[str(bib)] for bib in range(20, 10, -1)),)
    assert (state.stage, state.alarms) == (Stage.FINISHED, ())


@pytest.mark.parametrize(("status", "guest"), [(Entry.Status.CONFIRMED, False), (Entry.Status.PENDING, True)])
def test_somebody_on_a_spare_line_joins_the_list(event, status, guest):
    late = EntryFactory(event=event, bib="99", seed_mark=None, status=status)
    record_sheet(event_id=event.pk, sheet=a_sheet(event, FIRST + "\n99 4.10+0.1 x x", ""), **PAPER_BY)
    state = state_of(event)
    assert str(late.pk) in state.flights[0]
    assert state.entry(str(late.pk)).guest is guest


def test_who_was_marked_absent_and_jumped_by_the_sheet_is_here(event):
    actions.did_not_start(event_id=event.pk, entry=keys_of(event)["13"], **DESK_BY)
    sheet = a_sheet(event, later="")
    assert [decision.sentence for decision in read_sheet(event, sheet).decisions] == [
        "Bib 13 was marked as not here, and has trials on the sheet: is taken as here."
    ]
    record_sheet(event_id=event.pk, sheet=sheet, **PAPER_BY)
    state = state_of(event)
    assert (state.starters, state.alarms) == (10, ())


def test_somebody_else_recording_in_between_is_noticed(event):
    sheet = a_sheet(event)
    seen = read_sheet(event, sheet).version
    actions.no_gauge(event_id=event.pk, **PIT_BY)
    with pytest.raises(Overtaken):
        record_sheet(event_id=event.pk, sheet=sheet, seen_version=seen, **PAPER_BY)
    assert not event.log.filter(kind="jumped").exists()


def test_an_empty_sheet_is_refused(event):
    with pytest.raises(Refusal, match="Nothing is typed"):
        record_sheet(event_id=event.pk, sheet=FieldSheet((), ()), **PAPER_BY)
