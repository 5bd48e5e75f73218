"""The judge finds what it is there to find."""

import copy

import pytest

from tests.faults.judge import Ledger, judge

ENTRY = {"id": "a", "values": {"mark": 543}}
OTHER = {"id": "b", "values": {"mark": 498}}


def ledger(acked=("a", "b")) -> Ledger:
    kept = Ledger()
    for entry in (ENTRY, OTHER):
        kept.save(entry)
    kept.acknowledge(acked)
    return kept


def found(*entries: dict, **more: object) -> dict:
    there = [{"id": one["id"], "status": "stored", "body": one, "problem": ""} for one in entries]
    log = [one["id"] for one in entries]
    return {"deliveries": there, "log": log, "set_aside": 0, "sound": True, "state": 1, "expected": 1} | more


def test_all_that_was_written_is_there():
    assert judge(ledger(), found(ENTRY, OTHER)).wrong == {}


SWAPPED = copy.deepcopy(OTHER) | {"values": {"mark": 489}}


@pytest.mark.parametrize(
    ("acked", "there", "waiting", "drained", "wrong"),
    [
        ("ab", found(ENTRY), "", True, {"lost_acked": ["b"], "lost": ["b"]}),
        ("a", found(ENTRY), "b", False, {}),
        ("a", found(ENTRY), "b", True, {"lost": ["b"]}),
        ("ab", found(ENTRY), "b", False, {"lost_acked": ["b"]}),
        ("ab", found(ENTRY, SWAPPED), "", True, {"changed": ["b"]}),
        ("ab", found(ENTRY, OTHER, OTHER), "", True, {"doubled": ["b"]}),
        ("ab", found(ENTRY, OTHER, log=["a", "b", "b"]), "", True, {"doubled": ["b"]}),
        ("ab", found(ENTRY, OTHER, log=["a"]), "", True, {"not_in_log": ["b"]}),
        ("ab", found(ENTRY, OTHER, log=["a", "b", "c"]), "", True, {"not_in_log": ["c"]}),
        ("ab", found(ENTRY, OTHER, set_aside=1), "", True, {"other": ["1 entries were set aside"]}),
        ("ab", found(ENTRY, OTHER, sound=False), "", True, {"other": ["the database is damaged"]}),
        ("ab", found(ENTRY, OTHER, state=2), "", True, {"other": ["the state of an event is not that of the ledger"]}),
        ("ab", found(ENTRY, OTHER, state=2), "", False, {}),
    ],
)
def test_what_went_wrong_is_named(acked, there, waiting, drained, wrong):
    assert judge(ledger(acked), there, waiting, drained=drained).wrong == wrong


def test_an_entry_that_nobody_wrote_and_one_that_waits_are_named():
    foreign = found(ENTRY, OTHER, {"id": "c"})
    assert judge(ledger(), foreign).other == ["1 entries are there that nobody wrote"]
    waits = found(ENTRY, OTHER)
    waits["deliveries"][0] |= {"status": "needs_review", "problem": "Its round is unknown."}
    assert judge(ledger(), waits).other == ["a: Its round is unknown."]
