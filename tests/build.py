"""Plain builders for tests of `scoring`: series, contenders, start lines and whole logs from a compact text.

A trial is written `5.43`, `x`, `-`, `r`, `o`; `x/5.43` was measured under protest, `5.43?` is a mark under
protest.
A wind follows it: `5.43+1.4`, `5.43(NWI)`, `5.43w` (one tenth over the limit). Nothing: the wind is owed.
"""

from __future__ import annotations

import random
import re
import types
import typing
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import fields
from datetime import UTC, datetime, timedelta
from enum import Enum

from scoring.event import replay
from scoring.facts import (
    KINDS,
    CheckedIn,
    CutTaken,
    Drawn,
    Fact,
    Jumped,
    OrderCalled,
    ReadinessSigned,
    TrialsConfirmed,
    WindRead,
)
from scoring.log import Row
from scoring.marks import Unit, parse_mark
from scoring.places import Contender
from scoring.rulesets import RuleSet
from scoring.state import EventState, Stage, StartLine
from scoring.trials import Result, Series, Trial, parse_trial
from scoring.wind import Wind, parse_wind

START = datetime(2027, 6, 12, 10, 0, tzinfo=UTC)
LIMIT_TENTHS = 20
TRIAL = re.compile(r"(?P<trial>[^?()]+?)(?P<protest>\?)?(?P<windy>w)?(?:\(?(?P<wind>[+-]\d{1,2}\.\d|0\.0|NWI)\)?)?")


def trial(text: str, unit: Unit = Unit.CM, limit_tenths: int = LIMIT_TENTHS) -> Trial:
    """One trial with its wind: `trial("5.43+1.4")`, `trial("x/5.43")`, `trial("5.12w")`."""
    parts = TRIAL.fullmatch(text)
    assert parts, f"{text!r} is no trial; see the top of this file"
    wind = parse_wind(parts["wind"]) if parts["wind"] else Wind(limit_tenths + 1) if parts["windy"] else None
    if parts["trial"].startswith("x/"):
        return Trial(Result.FAIL, parse_mark(parts["trial"][2:], unit), wind, under_protest=True)
    read = parse_trial(parts["trial"], unit)
    return Trial(read.result, read.mark, wind, under_protest=bool(parts["protest"]))


def series(text: str, unit: Unit = Unit.CM, limit_tenths: int = LIMIT_TENTHS) -> Series:
    """A series: `series("5.43+1.4 x 5.12w -")`."""
    return Series(tuple(trial(word, unit, limit_tenths) for word in text.split()), limit_tenths)


def contender(entry: str, text: str, *, guest: bool = False, klass: str = "", unit: Unit = Unit.CM) -> Contender:
    """What an entry brings to the ranking: `contender("31", "5.43 x 5.12")`, or `DQ`."""
    if text == "DQ":
        return Contender(entry, (), "DQ", guest, klass)
    own = series(text, unit)
    return Contender(entry, own.marks, own.status, guest, klass)


def contenders(table: str, unit: Unit = Unit.CM) -> list[Contender]:
    """A field, one entry a line: `31  5.43 x 5.12`."""
    lines = (line.split(maxsplit=1) for line in table.strip().splitlines())
    return [contender(entry, text, unit=unit) for entry, text in lines]


def start_lines(
    bibs: str,
    *,
    guests: str = "",
    schools: typing.Mapping[str, str] | None = None,
    strings: typing.Mapping[str, str] | None = None,
    boards_cm: typing.Mapping[str, int] | None = None,
) -> tuple[StartLine, ...]:
    """Start lines whose key is the bib: `start_lines("31 17 22", guests="22", schools={"31": "THW"})`."""
    schools, strings, boards_cm = schools or {}, strings or {}, boards_cm or {}
    return tuple(
        StartLine(
            entry=bib,
            bib=bib,
            school=schools.get(bib, ""),
            string=strings.get(bib, ""),
            guest=bib in guests.split(),
            board_cm=boards_cm.get(bib),
        )
        for bib in bibs.split()
    )


def log(text: str, unit: Unit = Unit.CM) -> list[Row]:
    """A log from a text, one or several rows a line. Rows are named r1, r2, ... in order, a minute apart.

    ::

        drawn 31,17,22/4,8              a kind of row and its values, in the order of its fields
        left 31 where=100_m             or by name; commas in tuples, slashes between flights, _ for a blank
        31: 5.43+1.4 x                  trials of an entry from its next round on (trial row, then wind row)
        31@2: 5.12                      round 2; 31@2.1 is its first replacement trial
        [pit2] 31@2: 5.13               written by another recorder (default: pit)
        31@2: 5.21 ~ r4 r5 # misheard   supersedes rows, with a reason
    """
    rows: list[Row] = []
    next_round: defaultdict[str, int] = defaultdict(lambda: 1)
    for line in filter(None, (line.strip() for line in text.splitlines())):
        body, _, reason = line.partition("#")
        body, _, supersedes = body.partition("~")
        recorder, body = re.fullmatch(r"(?:\[(\w+)\])?\s*(.*?)\s*", body).groups()
        facts = _trials(body, next_round, unit) if ":" in body.split()[0] else [fact(body)]
        for one in facts:
            rev = len(rows) + 1
            rows.append(
                Row(
                    id=f"r{rev}",
                    rev=rev,
                    fact=one,
                    supersedes=tuple(supersedes.split()),
                    recorder=recorder or "pit",
                    by="R. Corder",
                    reason=reason.strip(),
                    at=START + timedelta(minutes=rev),
                )
            )
    return rows


def _trials(body: str, next_round: defaultdict[str, int], unit: Unit) -> Iterable[Fact]:
    who, _, trials = body.partition(":")
    entry, _, turn = who.partition("@")
    round_text, _, replacement = turn.partition(".")
    if round_text:
        next_round[entry] = int(round_text)
    for word in trials.split():
        one, number = trial(word, unit), next_round[entry]
        again = int(replacement or 0)
        yield Jumped(entry, number, one.result, one.mark, again, under_protest=one.under_protest)
        if one.wind is not None:
            yield WindRead(entry, number, one.wind.tenths, again)
        next_round[entry] += 1


def fact(text: str) -> Fact:
    """One fact: `fact("cut_taken 3 31,17 31,17")`, `fact("left 31 where=100_m")`; see `log`."""
    kind, *words = text.split()
    hints = typing.get_type_hints(KINDS[kind])
    names = [f.name for f in fields(KINDS[kind])]
    values: dict[str, object] = {}
    for position, word in enumerate(words):
        name, found, value = word.partition("=")
        if not found:
            name, value = names[position], word
        values[name] = _value(value, hints[name])
    return typing.cast(Fact, KINDS[kind](**values))


def _value(text: str, hint: typing.Any) -> object:
    if isinstance(hint, types.UnionType):
        return None if text == "None" else _value(text, typing.get_args(hint)[0])
    if typing.get_origin(hint) is tuple:
        inner = typing.get_args(hint)[0]
        between = "/" if typing.get_origin(inner) is tuple else ","
        return tuple(_value(part, inner) for part in text.split(between) if part)
    if hint is bool:
        return {"yes": True, "no": False}[text]
    if isinstance(hint, type) and issubclass(hint, Enum):
        return hint(text)
    return int(text) if hint is int else text.replace("_", " ")


def played(lines: Sequence[StartLine], flights: Sequence[Sequence[str]], rules: RuleSet, seed: int = 1) -> list[Row]:
    """The log of a whole event as it is written at the pit, from the draw to the last trial, marks by a lot.

    Every decision that is due is taken as it is proposed; a trial in four fails; every trial has a wind.
    """
    lot = random.Random(seed)
    present = [CheckedIn(entry) for flight in flights for entry in flight]
    facts: list[Fact] = [Drawn(tuple(map(tuple, flights))), ReadinessSigned(), *present]
    rows: list[Row] = []
    while facts:
        rows += [Row(f"r{rev}", rev, one, recorder="pit") for rev, one in enumerate(facts, len(rows) + 1)]
        state = replay(lines, rows, rules)
        facts = [] if state.stage is Stage.FINISHED else _next_facts(state, lot)
    return rows


def _next_facts(state: EventState, lot: random.Random) -> list[Fact]:
    if trials := state.trials_proposal:
        return [TrialsConfirmed(trials.starters, trials.rounds, trials.with_cut)]
    if cut := state.cut_proposal:
        return [CutTaken(cut.after_round, cut.going_on, cut.going_on)]
    if order := state.order_proposal:
        return [OrderCalled(order.round, order.order, order.order)]
    turn = state.callable[0].turn
    failed = lot.random() < 0.25
    mark, result = (None, Result.FAIL) if failed else (lot.randint(430, 560), Result.MARK)
    return [
        Jumped(turn.entry, turn.round, result, mark, turn.replacement),
        WindRead(turn.entry, turn.round, lot.randint(-15, 28), turn.replacement),
    ]
