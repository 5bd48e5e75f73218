"""Every entry of an event as it stands: turns, series, whether it still has trials to take."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from scoring.callorder import CallGroup
from scoring.cut import CutLine, CutProposal, propose_cut
from scoring.facts import CutTaken, Disregarded, NoGauge
from scoring.log import Standing, Turn
from scoring.presence import Presence, presences
from scoring.progress import Progress
from scoring.protests import about_what_stands
from scoring.rulesets import RuleSet
from scoring.state import EntryState, Stage, StartLine, TurnState
from scoring.trials import Result, Series, Trial
from scoring.turns import TurnReader


@dataclass(slots=True)
class _Entry:
    line: StartLine
    order: int
    flight: int
    presence: Presence
    turns: list[TurnState]
    pass_before: int
    disregarded_from: int | None = None
    missed: tuple[int, ...] = ()
    """Rounds that somebody who came late missed."""

    def guest(self) -> bool:
        return self.line.guest or self.presence.pending

    def starts(self) -> bool:
        """Whether this athlete was called in round 1: a pass counts, unless it stands for having come later."""
        first = [t.trial for t in self.turns if t.turn.round == 1 and t.trial is not None]
        return any(trial.taken or self.presence.joined_round == 1 for trial in first)

    def standing(self) -> list[TurnState]:
        return [turn for turn in self.turns if turn.trial is not None]

    def retired_in(self) -> int | None:
        return next(
            (t.turn.round for t in self.turns if t.trial is not None and t.trial.result is Result.RETIRED),
            None,
        )

    def by_round(self) -> dict[int, Trial]:
        """What counts of each round; missed rounds of somebody who came late are passes."""
        trials = {round: Trial(Result.PASS) for round in self.missed}
        trials |= {t.turn.round: t.trial for t in self.turns if t.trial is not None and t.counts}
        return dict(sorted(trials.items()))


class Entries:
    """All entries of an event; answers the questions that the order of rounds asks."""

    def __init__(self, log: Standing, found: dict[str, _Entry], reader: TurnReader, rules: RuleSet) -> None:
        self._log, self._found, self._reader, self._rules = log, found, reader, rules
        gauge = log.last(NoGauge)
        self.no_gauge_now = gauge is not None and not gauge.until
        self._protests = about_what_stands(log)
        self._protested: dict[str, int] = {}
        for _, cut in log.of(CutTaken):
            for entry in cut.under_protest:
                self._protested[entry] = min(cut.after_round, self._protested.get(entry, cut.after_round))

    def __iter__(self):  # type: ignore[no-untyped-def]
        return iter(self._found.values())

    def known(self, entry: str) -> bool:
        return entry in self._found

    def board(self, entry: str) -> int | None:
        return self._reader.board_at(entry)

    def is_away(self, entry: str) -> bool:
        return self._found[entry].presence.away is not None

    def catching_up(self, group: CallGroup) -> dict[str, int]:
        """Who is back from a leave behind the others of a group -> the round that the others have reached."""
        if not self._rules.consecutive_trials:
            return {}
        reached = {
            entry: max((turn.turn.round for turn in self._found[entry].standing()), default=0) for entry in group.order
        }
        back = [entry for entry in group.order if self._found[entry].presence.excused and not self.is_away(entry)]
        return {
            entry: min(group.last, max((round for other, round in reached.items() if other != entry), default=0))
            for entry in back
        }

    def protested_after(self, entry: str) -> int | None:
        """The cut after which this entry takes the further trials under protest; None once it is upheld."""
        after = self._protested.get(entry)
        return None if after is None or True in self._decisions(entry, after) else after

    def _decisions(self, entry: str, after: int) -> list[bool | None]:
        """How the protests stand that would let this entry go on: those about the rounds before the cut."""
        return [p.upheld for p in self._protests if p.entry == entry and p.round <= after]

    def _turned_down(self, entry: str, round: int) -> bool:
        """Whether a turn after the cut is gone because the protest was not upheld."""
        after = self.protested_after(entry)
        return after is not None and round > after and set(self._decisions(entry, after)) == {False}

    def closes(self, entry: str, round: int) -> bool:
        """Whether this entry jumps last in a round: came late within round 1 (common practice)."""
        presence = self._found[entry].presence
        return presence.came_late and presence.joined_round == round == 1

    def open_turn(self, entry: str, round: int) -> Turn | None:
        """The turn that this entry still owes in a round, if it takes part in it at all."""
        own = self._found.get(entry)
        if own is None:
            return None
        presence, replacement = own.presence, 0
        while Turn(entry, round, replacement) in self._log.replaced:
            replacement += 1
        turn = Turn(entry, round, replacement)
        if self._log.heads.get(turn) or round < own.pass_before:
            return None
        if presence.withdrawn or presence.disqualified:
            return None
        if presence.did_not_start and not any(t.trial is not None and t.trial.taken for t in own.turns):
            return None
        retired = own.retired_in()
        if (retired is not None and round >= retired) or self._has_standard(own, round):
            return None
        if self._turned_down(entry, round):
            return None
        return turn

    def _has_standard(self, own: _Entry, round: int) -> bool:
        """Whether a mark of an earlier round has reached the qualifying standard: no further trial."""
        standard = self._rules.standard
        return bool(standard) and any(
            (trial.valid_mark or 0) >= standard for done, trial in own.by_round().items() if done < round
        )

    def starters(self) -> int:
        """How many started: called in round 1 (a pass counts); late arrivals do not reopen it (WA, from memory)."""
        count = 0
        for own in self._found.values():
            if own.guest() and not self._rules.guests_count_as_starters:
                continue
            count += own.starts()
        return count

    def lines_after(self, round: int, rev: int | None) -> list[CutLine]:
        """Entries for a decision after `round`; with `rev`, what happened to people later is left out.

        A disqualification or withdrawal after the cut does not replay it.
        """
        lines = []
        for own in self._found.values():
            presence = own.presence
            marks = _marks(own, round, held=False)
            if_upheld = _marks(own, round, held=True)
            dq = _before(presence.disqualified_rev, rev)
            status = "DQ" if dq else "DNS" if presence.did_not_start and not own.standing() else ""
            lines.append(
                CutLine(
                    own.line.entry,
                    marks,
                    own.order,
                    status,
                    own.guest(),
                    _before(presence.withdrawn_rev, rev) or (own.retired_in() or round + 1) <= round,
                    if_upheld if if_upheld != marks else None,
                )
            )
        return lines

    def cut_now(
        self, after: int, rev: int, among: Collection[str] | None, without: Collection[str] = ()
    ) -> CutProposal:
        """What the cut after a round would be by the trials as they stand now.

        `among` are those who still took part then (None: everybody), `without` of them those who hold no place.
        """
        cuts = dict(self._rules.cuts)
        rules = self._rules if after in cuts else replace(self._rules, cuts=((after, len(self._found)),))
        lines = [line for line in self.lines_after(after, rev) if among is None or line.entry in among]
        return propose_cut([line for line in lines if line.entry not in without], after, rules)

    def count(self, progress: Progress, counted_rounds: int | None) -> None:
        """Mark the turns that do not count: beyond a cut or the last round, disregarded, after retiring."""
        last = progress.rounds if counted_rounds is None else counted_rounds
        for own in self._found.values():
            entry = own.line.entry
            own.missed = tuple(
                round for round in range(1, min(own.pass_before, last + 1)) if progress.plays(entry, round)
            )
            retired = own.retired_in() or last
            protested = self.protested_after(entry)
            for index, turn in enumerate(own.turns):
                round = turn.turn.round
                counts = (
                    round <= min(last, retired)
                    and progress.plays(entry, round)
                    and (own.disregarded_from is None or round < own.disregarded_from)
                    and (protested is None or round <= protested)
                    and (turn.turn.replacement == 0 or _given(turn.turn, self._log))
                )
                if not counts and turn.trial is not None:
                    own.turns[index] = replace(turn, counts=False)

    def states(self, progress: Progress, stage: Stage) -> tuple[EntryState, ...]:
        """The entries in start order; `stage` says whether everybody is done."""
        over = stage.is_over
        return tuple(self._state(own, progress, over) for own in self._found.values())

    def _state(self, own: _Entry, progress: Progress, over: bool) -> EntryState:
        entry, presence = own.line.entry, own.presence
        by_round = own.by_round()
        last_start = max(progress.members, default=None)
        goes_on = None if last_start is None else entry in progress.members[last_start]
        gone = presence.withdrawn or presence.did_not_start
        none_left = all(
            self.open_turn(entry, r) is None for r in range(1, progress.rounds + 1) if progress.plays(entry, r)
        )
        series = Series(() if presence.disqualified else tuple(by_round.values()), self._rules.wind_limit_tenths)
        not_started = presence.did_not_start and not own.standing()
        left_unstarted = presence.withdrawn and not any(t.taken for t in by_round.values())
        status = "DQ" if presence.disqualified else "DNS" if not_started or left_unstarted else ""
        return EntryState(
            line=own.line,
            order=own.order,
            flight=own.flight,
            turns=tuple(own.turns),
            by_round=by_round,
            series=series,
            status=status,
            status_reason=presence.disqualified_why,
            board_cm=self.board(entry),
            guest=own.guest(),
            pending=presence.pending,
            checked_in=presence.checked_in or bool(own.standing()),
            starter=own.starts(),
            away=presence.away,
            joined_round=presence.joined_round,
            finished=over or gone or bool(own.standing() and none_left) or presence.disqualified,
            goes_on=goes_on,
            cards=tuple(presence.cards),
        )

    def owed_winds(self) -> tuple[Turn, ...]:
        """Turns with a measured trial whose wind nobody has said."""
        return tuple(
            turn.turn
            for own in self._found.values()
            for turn in own.turns
            if turn.trial is not None
            and turn.counts
            and turn.trial.wind is None
            and (turn.trial.valid_mark is not None or (turn.held and turn.trial.mark is not None))
        )

    def disputes(self) -> tuple[Turn, ...]:
        """Turns on which two recorders differ, in trial or wind."""
        return tuple(
            turn.turn for own in self._found.values() for turn in own.turns if turn.disputed or turn.wind_disputed
        )


def read_entries(
    log: Standing, lines: Mapping[str, StartLine], flights: Sequence[tuple[str, ...]], rules: RuleSet
) -> Entries:
    """The entries in start order: as drawn, then those that no flight holds."""
    reader = TurnReader(log, lines)
    present = presences(log)
    flight_of = {entry: number for number, flight in enumerate(flights, 1) for entry in flight}
    ordered = [*flight_of, *(entry for entry in lines if entry not in flight_of)]
    disregarded: dict[str, int] = {}
    for _, fact in log.of(Disregarded):
        disregarded[fact.entry] = min(fact.round, disregarded.get(fact.entry, fact.round))
    found = {}
    for order, entry in enumerate(ordered, 1):
        presence = present.get(entry, Presence())
        turns = reader.of(entry)
        found[entry] = _Entry(
            lines[entry], order, flight_of.get(entry, 0), presence, turns, presence.joined_round,
            disregarded.get(entry),
        )  # fmt: skip
    return Entries(log, found, reader, rules)


def _marks(own: _Entry, upto: int, *, held: bool) -> tuple[int, ...]:
    """Valid marks of rounds 1 to `upto`, best first; with `held`, marks kept under an open protest too."""
    marks = []
    for turn in own.turns:
        if turn.trial is None or turn.turn.round > upto or not turn.counts:
            continue
        mark = turn.trial.valid_mark
        if held and turn.held and turn.trial.under_protest:
            mark = turn.trial.mark
        if mark is not None:
            marks.append(mark)
    return tuple(sorted(marks, reverse=True))


def _before(happened_rev: int | None, rev: int | None) -> bool:
    return happened_rev is not None and (rev is None or happened_rev < rev)


def _given(turn: Turn, log: Standing) -> bool:
    return turn._replace(replacement=turn.replacement - 1) in log.replaced
