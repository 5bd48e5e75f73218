"""Neighbours whose marks were written the wrong way round, counted on published series; every round there is right.

Asked about at the end of a round is one pair in fifty at most (the bar is ours: who is asked often answers without
looking). In a final neighbours jump much alike: of exchanged marks one pair in ten shows.
"""

from collections import Counter
from dataclasses import replace
from itertools import pairwise

import pytest

from scoring.log import Turn
from scoring.mixed_up import swapped_neighbours
from scoring.state import EventState
from tests.published.series import published_days


@pytest.fixture(scope="module")
def rounds():
    """State at the end of each series, and the turns of each of its rounds in the order in which they were jumped."""
    found = []
    for day in published_days().values():
        numbers = sorted({before.turn.round for before in day})
        turns = {number: [before.turn for before in day if before.turn.round == number] for number in numbers}
        found += [(day[-1].state, turns[number]) for number in numbers]
    return found


def exchanged(state: EventState, first: Turn, second: Turn) -> EventState:
    """The same event with the trials of two turns exchanged."""
    trial = {one.turn: one.trial for entry in state.entries for one in entry.turns}
    other = {first: trial[second], second: trial[first]}
    entries = []
    for entry in state.entries:
        turns = tuple(replace(one, trial=other.get(one.turn, one.trial)) for one in entry.turns)
        changed = {turn.round: other[turn] for turn in other if turn.entry == entry.line.entry}
        entries.append(replace(entry, turns=turns, by_round=entry.by_round | changed))
    return replace(state, entries=tuple(entries))


def marked(state: EventState, turn: Turn) -> bool:
    trial = next((one.trial for one in state.entry(turn.entry).turns if one.turn == turn), None)
    return trial is not None and trial.valid_mark is not None


def test_right_rounds_are_hardly_asked_about_and_exchanged_marks_are(rounds):
    count = Counter()
    for state, turns in rounds:
        for first, second in pairwise(turns):
            if not (marked(state, first) and marked(state, second)):
                continue
            count["right pairs"] += 1
            count["asked"] += bool(swapped_neighbours(state, [first, second], {}))
            count["caught"] += bool(swapped_neighbours(exchanged(state, first, second), [first, second], {}))
    assert count["right pairs"] >= 200
    assert count["asked"] <= count["right pairs"] / 50
    assert count["caught"] >= count["right pairs"] / 10
