"""Which status a result may be given, as a table of cases; the time is handed in."""

from datetime import timedelta

import pytest

from meets.publishing.status import Before, Open, appeals_until, may_publish, open_in, winds_that_matter
from scoring.event import replay
from scoring.rulesets import rule_set
from tests.build import START, log, start_lines

NOW = START
LATER, EARLIER = NOW + timedelta(minutes=12), NOW - timedelta(minutes=1)
POSTED = Before(1, "provisional", LATER)
WAITED = Before(1, "provisional", EARLIER)
CHANGED = Before(1, "provisional", EARLIER, changed=True, matters=True)
LATE_WIND = Before(1, "provisional", EARLIER, changed=True, matters=False)
OFFICIAL = Before(2, "official", None)
CORRECTED = Before(2, "official", None, changed=True, matters=True)
NOTHING = "Nothing has changed since version"
ALREADY = "This result is official already"
STAYS = "The result stays provisional until that is settled."

CASES = [
    # status, what stands, what is open, how it is asked for, the beginning of the refusal
    ("provisional", None, Open(), {}, ""),
    ("provisional", None, Open(protests=1, disputes=2, winds=3, pending=1), {}, ""),
    ("provisional", None, Open(), {"over": False}, "The event is not over"),
    ("provisional", POSTED, Open(), {"reason": "again"}, NOTHING),
    ("provisional", CHANGED, Open(), {}, "A new version of a result needs its reason."),
    ("provisional", CHANGED, Open(), {"reason": " \t"}, "A new version of a result needs its reason."),
    ("provisional", CHANGED, Open(), {"reason": "misheard"}, ""),
    ("provisional", OFFICIAL, Open(), {"reason": "misheard"}, ALREADY),
    ("provisional", CORRECTED, Open(), {"reason": "misheard"}, ALREADY),
    ("official", None, Open(), {}, "Publish it as provisional first"),
    ("official", None, Open(), {"referee": "Ms Okonjo"}, "Publish it as provisional first"),
    ("official", POSTED, Open(), {}, "Protests are taken until 11:12."),
    ("official", POSTED, Open(), {"referee": "  "}, "Protests are taken until 11:12."),
    ("official", POSTED, Open(), {"referee": "Ms Okonjo"}, ""),
    ("official", POSTED, Open(), {"now": LATER - timedelta(seconds=1)}, "Protests are taken until 11:12."),
    ("official", POSTED, Open(), {"now": LATER}, ""),
    ("official", WAITED, Open(), {}, ""),
    ("official", WAITED, Open(), {"over": False}, "The event is not over"),
    ("official", WAITED, Open(), {"appeals_until": LATER}, "An appeal may come until 11:12."),
    ("official", WAITED, Open(), {"appeals_until": LATER, "referee": "Ms Okonjo"}, ""),
    ("official", WAITED, Open(), {"appeals_until": EARLIER}, ""),
    ("official", WAITED, Open(protests=1), {}, f"1 protest is open. {STAYS}"),
    ("official", WAITED, Open(protests=1), {"referee": "Ms Okonjo"}, f"1 protest is open. {STAYS}"),
    ("official", WAITED, Open(appeals=2), {"referee": "Ms Okonjo"}, f"2 appeals are open. {STAYS}"),
    ("official", WAITED, Open(disputes=1, protests=1), {}, f"The recorders differ on 1 trial. {STAYS}"),
    ("official", WAITED, Open(winds=2), {}, f"2 winds are owed with which a mark may be a best or a record. {STAYS}"),
    ("official", WAITED, Open(pending=1), {}, "1 athlete was added at the pit and is not confirmed by the desk."),
    ("official", CHANGED, Open(), {"referee": "Ms Okonjo"}, "The result has changed since version 1 was posted."),
    ("official", LATE_WIND, Open(), {}, ""),
    ("official", OFFICIAL, Open(), {}, ALREADY),
    ("amended", None, Open(), {"reason": "ineligible"}, "Only an official result is amended."),
    ("amended", CHANGED, Open(), {"reason": "ineligible"}, "Only an official result is amended."),
    ("amended", OFFICIAL, Open(), {"reason": "ineligible"}, NOTHING),
    ("amended", CORRECTED, Open(), {}, "An amended result needs its reason."),
    ("amended", CORRECTED, Open(), {"reason": "ineligible"}, ""),
    ("amended", CORRECTED, Open(protests=1), {"reason": "ineligible"}, f"1 protest is open. {STAYS}"),
    ("amended", Before(3, "amended", None, changed=True), Open(), {"reason": "another"}, ""),
]


@pytest.mark.parametrize(("status", "before", "left", "asked", "refusal"), CASES)
def test_what_may_be_published(status, before, left, asked, refusal):
    asked = {"over": True, "now": NOW, "zone": "Europe/London", **asked}
    says = may_publish(status, before=before, left=left, **asked)
    assert (says[: len(refusal)], bool(says)) == (refusal, bool(refusal))


def test_the_day_is_said_where_it_is_another_one():
    posted = Before(1, "provisional", NOW + timedelta(days=1))
    says = may_publish("official", over=True, before=posted, left=Open(), now=NOW, zone="Europe/London")
    assert says.startswith("Protests are taken until 13 June, 11:00.")


def state_of(text, bibs="31 17"):
    return replay(start_lines(bibs), log(text), rule_set("three-only"))


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("31: 5.43+1.0 x x", Open()),
        ("31: 5.43 x x", Open(winds=1)),
        # The best has its legal wind: one that comes for a shorter mark changes nothing.
        ("31: 5.43+1.0 5.40 x", Open()),
        ("31: 5.43+2.1 5.40 x", Open(winds=1)),
        ("31: x/5.43 x x\nprotest_lodged p 31 1", Open(protests=1, winds=1)),
        ("31: x x x\nprotest_lodged p\nprotest_decided p no\nappeal_lodged p", Open(appeals=1)),
        ("31: x x x\nprotest_lodged p\nprotest_decided p no", Open()),
        ("31: 5.43+1.0 x x\n[second_recorder] 31@1: 5.34", Open(disputes=1)),
        ("31: 5.43+1.0 x x\nadded 17 1", Open(pending=1)),
    ],
)
def test_what_is_open(text, left):
    assert open_in(state_of(f"drawn 31,17\n{text}")) == left


def test_the_winds_that_matter_are_named():
    state = state_of("drawn 31,17\n31: 5.43 5.50(NWI) x\n17: 5.00+0.3 4.90 5.10")
    assert [tuple(turn) for turn in winds_that_matter(state)] == [("31", 1, 0), ("17", 3, 0)]


def test_an_appeal_may_come_for_as_long_as_a_protest():
    text = "drawn 31,17\n31: x x x\nprotest_lodged p\nprotest_decided p no"
    decided = state_of(text).protests[0].decided_at
    assert appeals_until(state_of(text)) == decided + timedelta(minutes=30)
    assert appeals_until(state_of(f"{text}\nappeal_lodged p")) is None
