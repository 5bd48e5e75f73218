"""The second recorder is told nothing of the first record: whatever that says, not a byte changes."""

from uuid import NAMESPACE_URL, uuid5

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from meets.models import LogRow
from meets.pit.phone.reads import body_text
from meets.running import states
from scoring.facts import Jumped, ProtestLodged, WindRead, kind_of, to_plain
from scoring.trials import Result
from tests.factories import START
from tests.meets.pit.phone.test_state import jump

MARKS = st.integers(300, 700)
ROUNDS = (1, 2, 3)
BIBS = ("1", "2", "3")


@st.composite
def records(draw):
    """Turns in order: the mark of the first record and another in its place, and that of the second if it has one.

    A mark of the first may have been put right, and have a wind.
    """
    turns = []
    for round in ROUNDS[: draw(st.integers(1, 3))]:
        for bib in BIBS:
            second = draw(st.none() | MARKS)
            mark, other = draw(MARKS), draw(MARKS)
            turns.append(
                (bib, round, (mark, mark if second else other), second, draw(st.booleans()), draw(st.booleans()))
            )
    return turns


def write(event, turns, which):
    """The log of both records, with the one or the other mark of the first in turns that the second has not written."""
    facts = []
    keys = {bib: str(event.entries.get(bib=bib).pk) for bib in BIBS}
    for bib, round, marks, second, corrected, windy in turns:
        first = len(facts)
        facts.append((Jumped(keys[bib], round, Result.MARK, marks[which]), "pit", ()))
        if corrected:
            facts.append((Jumped(keys[bib], round, Result.MARK, marks[which] + 1), "pit", (first,)))
        if windy:
            facts.append((WindRead(keys[bib], round, marks[which] % 30), "pit", ()))
        if second:
            facts.append((Jumped(keys[bib], round, Result.MARK, second), "second recorder", ()))
    facts.append((ProtestLodged("p1", keys["1"], 1), "pit", ()))
    before = event.log.count()
    ids = [uuid5(NAMESPACE_URL, str(n)) for n in range(len(facts))]
    LogRow.objects.bulk_create(
        LogRow(
            id=ids[n], event=event, rev=before + 1 + n, kind=kind_of(fact), values=to_plain(fact), recorder=recorder,
            supersedes=[str(ids[old]) for old in supersedes], at=START, reason="heard again" if supersedes else "",
        )
        for n, (fact, recorder, supersedes) in enumerate(facts)
    )  # fmt: skip


class Undone(Exception):
    pass


def told(session, event, turns, which):
    states._states.clear()
    try:
        with transaction.atomic():
            write(event, turns, which)
            said = body_text(session, "second"), body_text(session, "recorder")
            raise Undone
    except Undone:
        states._states.clear()
        return said


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(turns=records())
def test_another_mark_in_the_first_record_changes_nothing(session, event, turns):
    one, other = told(session, event, turns, 0), told(session, event, turns, 1)
    assert one[0] == other[0]
    changed = any(marks[0] != marks[1] for _bib, _round, marks, _second, _corrected, _windy in turns)
    assert (one[1] != other[1]) is changed


def test_the_second_has_a_queue_and_a_series_of_its_own(pit):
    jump(pit, "2", 1, 512, wind=3)
    jump(pit, "3", 1, 500, wind=3)
    said = pit.state("second")
    assert (said["series"], said["last"], said["places"], said["cut"], said["owed"]) == ({}, [], [], None, [])
    assert len(said["queue"]) == 9
    jump(pit, "3", 1, 501, role="second")
    said = pit.state("second")
    assert [one["shown"] for one in said["series"][pit.key("3")]] == ["5.01"]
    assert [one["bib"] for one in said["last"]] == ["3"]
    assert f"{pit.key('3')}-1-0" not in [turn["turn"] for turn in said["queue"]]
    # This second recorder takes no winds, so none is owed.
    assert (said["owed"], said["series"][pit.key("3")][0]["owed_wind"]) == ([], False)
    jump(pit, "2", 1, 512, role="second", wind=3)
    assert [one["bib"] for one in pit.state("second")["owed"]] == ["3"]


def test_a_record_begun_late_is_not_asked_for_rounds_that_are_over(pit):
    for bib in BIBS:
        jump(pit, bib, 1, 500, wind=0)
    assert [turn["round"] for turn in pit.state("second")["queue"]] == [2, 2, 2, 3, 3, 3]
    jump(pit, "2", 2, 505, role="second")
    assert [turn["round"] for turn in pit.state("second")["queue"]] == [2, 2, 3, 3, 3]


def test_after_both_are_in_the_difference_is_told(pit):
    jump(pit, "2", 1, 543)
    assert pit.state("second")["disputes"] == []
    jump(pit, "2", 1, 534, role="second")
    [dispute] = pit.state("second")["disputes"]
    assert [one["shown"] for one in dispute["values"]] == ["5.43", "5.34"]
    heads = [entry["id"] for role in ("recorder", "second") for entry in pit.phone(role).said]
    pit.send("referee", "jumped", {"entry": pit.key("2"), "round": 1, "result": "mark", "mark": 543},
             supersedes=heads, reason="heard the measurer and both")  # fmt: skip
    assert pit.state("second")["disputes"] == []
    assert [one["shown"] for one in pit.state("second")["series"][pit.key("2")]] == ["5.43"]


@pytest.mark.parametrize("role", ["second"])
def test_a_difference_that_is_none_of_the_second_record_is_not_told(pit, role):
    jump(pit, "2", 1, 543)
    jump(pit, "2", 1, 544, role="referee")
    assert len(pit.state("referee")["disputes"]) == 1
    assert pit.state(role)["disputes"] == []
