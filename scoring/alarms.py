"""What the referee must see: decisions that a correction would change, trials that cannot be, open disagreements.

An alarm never changes anything; AlarmSettled with its key says that the referee has dealt with it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from datetime import timedelta

from scoring.boards import possible_range
from scoring.cut import propose_order
from scoring.entries import Entries
from scoring.facts import (
    Abandoned,
    AlarmSettled,
    BoardChecked,
    Closed,
    Drawn,
    FlightMoved,
    Jumped,
    Left,
    Returned,
    RuleChanged,
)
from scoring.log import Row, Standing
from scoring.marks import Unit, mark_in_cm, show_mark
from scoring.places import Placed
from scoring.progress import Progress
from scoring.protests import protests_of
from scoring.rulesets import RuleSet
from scoring.state import Alarm, CutStands, TurnState

CUT = "After round %(round)s the cut was taken; by the trials as they stand now it would be: %(changes)s."
ORDER = "The order called for round %(round)s would be another by the trials as they stand now."
UNDRAWN = "Entered, and in no flight: nobody will call this athlete."
UNKNOWN = "A row names an entry that is not on the start list."
EXTRA = "A trial in round %(round)s does not count: the athlete had no turn in that round."
AFTER_DNS = "Marked as not started, and a trial is recorded."
DISPUTED = "Two records differ in round %(round)s."
DISPUTED_WIND = "Two records of the wind differ in round %(round)s."
OUT_OF_RANGE = "A mark from a board %(board)s cm from the sand cannot lie outside %(low)s to %(high)s cm."
BOARD_OFF = "The board at %(board)s m was measured as %(measured)s m: check all marks since the last good check."
RULE = "The rule %(field)s cannot be %(value)s beside the other rules: the change is left out."
PROTEST = "A protest is open."
OWED = "Abandoned with a replacement trial of round %(round)s owed: the round counts, without that trial."
EXCUSED = "Away for longer than the %(minutes)s minutes for which an athlete may be excused (left at %(left)s)."
TIED_FIRST = "Equal for first place, which extra trials decide by the rules of this event: shown as shared until then."


def alarms_of(
    log: Standing,
    entries: Entries,
    progress: Progress,
    cuts: Sequence[CutStands],
    rules: RuleSet,
    *,
    unit: Unit,
    sand_cm: int | None,
    left_out: Sequence[tuple[Row, RuleChanged]] = (),
    places: Sequence[Placed] = (),
) -> tuple[Alarm, ...]:
    """Every alarm that is not settled.

    `sand_cm` None: the possible range is not checked. `left_out`: rule changes that contradict the other rules.
    `places` as they stand.
    """
    settled = {fact.alarm for _, fact in log.of(AlarmSettled)}
    abandoned = log.last(Abandoned)
    broken_off = abandoned.rounds_counted + 1 if abandoned else None
    found = [
        *_cut_alarms(progress, entries, cuts),
        *_order_alarms(progress, entries, rules),
        *_turn_alarms(entries, rules, unit, sand_cm, broken_off, [fact.flight for _, fact in log.of(FlightMoved)]),
        *_board_alarms(log, rules),
        *(Alarm(f"rule {row.id}", RULE, {"field": f.field, "value": f.value}) for row, f in left_out),
        *_undrawn(log, entries),
        *_unknown(log, entries),
        *_protests(entries, log),
        *(_owed(log, entries, abandoned.rounds_counted) if abandoned else ()),
        *(_excused(log, rules.excused_minutes) if rules.excused_minutes else ()),
        *(_tied_first(places) if rules.tied_first == "extra trials" and progress.complete else ()),
    ]
    return tuple(alarm for alarm in found if alarm.key not in settled)


def _cut_alarms(progress: Progress, entries: Entries, cuts: Sequence[CutStands]) -> Iterator[Alarm]:
    """Who went on under protest is extra and makes nobody drop out, though the protest be upheld."""
    for cut in cuts:
        row, fact = progress.cuts[cut.after_round]
        still_in = progress.before_cut(cut.after_round)
        now = {*entries.cut_now(cut.after_round, row.rev, still_in, without=fact.under_protest).going_on}
        then = {*fact.proposed} - {*fact.under_protest}
        came_in, fell_out = sorted(now - then), sorted(then - now)
        if came_in or fell_out:
            changes = (*(f"+{entry}" for entry in came_in), *(f"-{entry}" for entry in fell_out))
            yield Alarm(
                f"cut {cut.after_round} {row.id} {' '.join(changes)}",
                CUT,
                {"round": cut.after_round, "changes": changes},
                (*came_in, *fell_out),
            )


def _order_alarms(progress: Progress, entries: Entries, rules: RuleSet) -> Iterator[Alarm]:
    for round, (row, fact) in sorted(progress.orders.items()):
        if not fact.proposed:
            continue
        under_protest = progress.protested.get(round, ())
        protested = [entry for entry in fact.proposed[: len(under_protest)] if entry in under_protest]
        lines = [line for line in entries.lines_after(round - 1, row.rev) if line.entry in set(fact.proposed)]
        now = propose_order(lines, protested, rules)
        if now != fact.proposed:
            yield Alarm(f"order {round} {row.id} {' '.join(now)}", ORDER, {"round": round}, now)


def _turn_alarms(
    entries: Entries, rules: RuleSet, unit: Unit, sand_cm: int | None, broken_off: int | None, moved: Collection[int]
) -> Iterator[Alarm]:
    """`moved`: flights that went on at another pit, whose sand has a length of its own: no range is checked there."""
    for own in entries:
        entry = own.line.entry
        if own.presence.did_not_start and own.standing():
            yield Alarm(f"dns {entry}", AFTER_DNS, entries=(entry,))
        after_protest = entries.protested_after(entry)
        under_protest = None if after_protest is None else after_protest + 1
        known = (own.disregarded_from, broken_off, under_protest)
        ignored = min((first for first in known if first is not None), default=None)
        for turn in own.turns:
            yield from _one_turn(entry, turn, rules, unit, None if own.flight in moved else sand_cm, ignored=ignored)


def _one_turn(
    entry: str, turn: TurnState, rules: RuleSet, unit: Unit, sand_cm: int | None, *, ignored: int | None
) -> Iterator[Alarm]:
    round, name = turn.turn.round, " ".join(map(str, turn.turn))
    trial = turn.trial
    if turn.disputed:
        yield Alarm(f"disputed {name} {' '.join(turn.rows)}", DISPUTED, {"round": round}, (entry,))
    if turn.wind_disputed:
        yield Alarm(f"wind {name} {' '.join(turn.wind_rows)}", DISPUTED_WIND, {"round": round}, (entry,))
    if trial is None:
        return
    decided = ignored is not None and round >= ignored
    if not turn.counts and not decided and not trial.under_protest:
        yield Alarm(f"extra {name}", EXTRA, {"round": round}, (entry,))
    if sand_cm and trial.mark is not None and trial.board_cm is not None and trial.board_cm >= 0:
        low, high = possible_range(trial.board_cm, sand_cm, rules.zone_depth_cm)
        if not low <= mark_in_cm(trial.mark, unit) <= high:
            values: dict[str, object] = {"board": trial.board_cm, "low": low, "high": high}
            yield Alarm(f"range {name} {trial.mark}", OUT_OF_RANGE, values, (entry,))


def _board_alarms(log: Standing, rules: RuleSet) -> Iterator[Alarm]:
    """A failed board check, with everybody who has a mark from between the good ones before and after it.

    Measured again and found good before anybody jumped, it was the measuring that was wrong.
    """
    checks = log.of(BoardChecked)
    good = [r.rev for r, f in checks if abs(f.measured_cm - f.board_cm) <= rules.board_tolerance_cm]
    for row, fact in checks:
        if row.rev in good:
            continue
        since = max((rev for rev in good if rev < row.rev), default=0)
        until = min((rev for rev in good if rev > row.rev), default=None)
        between = [f for r, f in log.of(Jumped) if since < r.rev and (until is None or r.rev < until)]
        jumped = dict.fromkeys(f.entry for f in between if f.mark is not None)
        if jumped or until is None:
            measured: dict[str, object] = {"board": show_mark(fact.board_cm), "measured": show_mark(fact.measured_cm)}
            yield Alarm(f"board {row.id}", BOARD_OFF, measured, tuple(jumped))


def _undrawn(log: Standing, entries: Entries) -> Iterator[Alarm]:
    """Entries that came after the draw and were not added to a flight."""
    if not log.of(Drawn) or log.of(Closed):
        return
    for own in entries:
        presence = own.presence
        if not (own.flight or presence.did_not_start or presence.withdrawn or presence.disqualified):
            yield Alarm(f"undrawn {own.line.entry}", UNDRAWN, entries=(own.line.entry,))


def _unknown(log: Standing, entries: Entries) -> Iterator[Alarm]:
    for row in log.rows:
        entry = getattr(row.fact, "entry", "")
        if entry and row.id not in log.superseded and not entries.known(entry):
            yield Alarm(f"unknown {row.id}", UNKNOWN)


def _owed(log: Standing, entries: Entries, counted: int) -> Iterator[Alarm]:
    """Who was owed a replacement trial in a round that counts: the referee may count fewer rounds."""
    for entry, round in sorted({turn[:2] for turn in log.replaced}):
        turn = entries.open_turn(entry, round)
        if turn is not None and round <= counted:
            yield Alarm(f"owed {' '.join(map(str, turn))}", OWED, {"round": round}, (entry,))


def _excused(log: Standing, minutes: int) -> Iterator[Alarm]:
    """Who was away for longer than allowed, by the times of the rows; who still is, by the time of the last trial."""
    last = max((row.at for row, _ in log.of(Jumped) if row.at is not None), default=None)
    ends = [(row.rev, fact.entry, row.at) for row, fact in log.of(Returned)]
    for row, fact in log.of(Left):
        left = log.first(row).at
        until = next((at for rev, entry, at in ends if entry == fact.entry and rev > row.rev), last)
        if left is not None and until is not None and until - left > timedelta(minutes=minutes):
            values: dict[str, object] = {"minutes": minutes, "left": f"{left:%H:%M}"}
            yield Alarm(f"excused {row.id}", EXCUSED, values, (fact.entry,))


def _tied_first(places: Sequence[Placed]) -> Iterator[Alarm]:
    """Those who share a first place; older rules give them extra trials, which the referee settles."""
    for level in dict.fromkeys(placed.level for placed in places if placed.place == 1 and placed.level):
        yield Alarm(f"tied first {' '.join(level)}", TIED_FIRST, entries=level)


def _protests(entries: Entries, log: Standing) -> Iterator[Alarm]:
    for protest in protests_of(log):
        if protest.upheld is None:
            yield Alarm(f"protest {protest.protest}", PROTEST, entries=(protest.entry,) if protest.entry else ())
