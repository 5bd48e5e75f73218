"""What goes wrong on the demonstration day, on purpose: each kind of thing that officials must put right once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from meets.models import Event
from meets.running import actions
from meets.running.actions import DESK
from meets.running.reads import QueuedTurn, state_of
from scoring.marks import show_mark
from scoring.state import EventState

if TYPE_CHECKING:
    from meets.demo.day import Day

ABSENT, TIE, CORRECTION, REPLACEMENT, PROTEST, LEAVE, LATE, WRONG_BIB, GAUGE, SHOWER = range(10)
PLAN = {
    ("LJ", "girls", "U14"): {ABSENT, CORRECTION},
    ("LJ", "girls", "U16"): {TIE},
    ("LJ", "boys", "U14"): {REPLACEMENT},
    ("LJ", "boys", "U16"): {PROTEST, ABSENT},
    ("LJ", "girls", "U18"): {LEAVE},
    ("LJ", "boys", "U18"): {WRONG_BIB},
    ("TJ", "girls", "U16"): {LATE},
    ("TJ", "boys", "U16"): {GAUGE},
    ("TJ", "girls", "U18"): {SHOWER},
    ("TJ", "boys", "U18"): {REPLACEMENT},
}


class Incidents:
    """Knows what happens in which event, and that each happens once."""

    def __init__(self, day: Day) -> None:
        self._day = day
        self._done: set[tuple[int, int]] = set()
        self._pairs: dict[int, tuple[str, str]] = {}
        self._marks: dict[tuple[int, int], str] = {}
        self._late: dict[int, str] = {}

    def _due(self, event: Event, kind: int) -> bool:
        planned = PLAN.get((event.discipline, event.category, event.age_group), set())
        return kind in planned and (event.pk, kind) not in self._done

    def _happened(self, event: Event, kind: int) -> None:
        self._done.add((event.pk, kind))

    def absent(self, event: Event, keys: list[str]) -> list[str]:
        """Who is not at check-in: one who never comes, or one who comes late."""
        if self._due(event, ABSENT):
            self._happened(event, ABSENT)
            return [self._day.rng.choice(keys)]
        if self._due(event, LATE):
            self._late[event.pk] = self._day.rng.choice(keys)
            return [self._late[event.pk]]
        return []

    def shared_mark(self, event: Event, up: QueuedTurn) -> str:
        """In one event two athletes jump the same marks in every round, and share their place."""
        if not self._due(event, TIE):
            return ""
        if event.pk not in self._pairs:
            order = [turn.turn.entry for turn in state_of(event).turns]
            best = sorted(order[: len(order) // 3], key=lambda key: -(self._seed(event, key)))
            self._pairs[event.pk] = (best[0], best[-1])
        pair = self._pairs[event.pk]
        if up.turn.entry not in pair:
            return ""
        key = (event.pk, up.turn.round)
        if key not in self._marks:
            self._marks[key] = self._day.jump(up)
        return self._marks[key]

    def _seed(self, event: Event, key: str) -> int:
        return event.entries.values_list("seed_mark", flat=True).get(pk=int(key)) or 0

    def instead_of(self, event: Event, state: EventState, up: QueuedTurn) -> bool:
        """What happens in place of an ordinary trial; whether anything did."""
        day, turn = self._day, up.turn
        if self._due(event, PROTEST) and turn.round == 2 and up.person.seed_mark:
            self._happened(event, PROTEST)
            mark = up.person.seed_mark - 12
            text = show_mark(mark)
            actions.record_trial(
                event_id=event.pk, turn=turn, trial=text, wind="+0.9", reason="line", under_protest=True,
                answered=True, **day.by(),
            )  # fmt: skip
            day.tick(400)
            [protest] = [p for p in state_of(event).protests if p.upheld is None]
            reason = "the judge's view was blocked; no mark beyond the line"
            actions.decide_protest(event_id=event.pk, name=protest.protest, upheld=True, reason=reason, **day.by())
            return True
        if self._due(event, LEAVE) and turn.round == 2:
            self._happened(event, LEAVE)
            actions.leave(
                event_id=event.pk, entry=turn.entry, where="triple jump, pit 2", back_at="this round", **day.by()
            )
            return True
        if event.pk in self._late and turn.round == 2:
            entry = self._late.pop(event.pk)
            self._happened(event, LATE)
            actions.join_late(event_id=event.pk, entry=entry, round=2, reason="the minibus was late", **day.by())
            return True
        if self._due(event, GAUGE) and turn.round == 5:
            self._happened(event, GAUGE)
            actions.no_gauge(event_id=event.pk, reason="battery empty", **day.by())
        if self._due(event, SHOWER) and turn.round == 3:
            self._happened(event, SHOWER)
            actions.suspend(event_id=event.pk, reason="heavy shower", **day.by())
            day.tick(900)
            actions.resume(event_id=event.pk, **day.by())
        return False

    def after(self, event: Event, up: QueuedTurn, text: str) -> None:
        """What turns out to be wrong just after a trial was recorded."""
        day, turn = self._day, up.turn
        if self._due(event, CORRECTION) and turn.round == 2 and len(text) > 1 and text[-1] != text[-2]:
            self._happened(event, CORRECTION)
            swapped = text[:-2] + text[-1] + text[-2]
            reason = "digits swapped, read back from the tape"
            actions.correct_trial(event_id=event.pk, turn=turn, trial=swapped, reason=reason, **day.by())
        if self._due(event, REPLACEMENT) and turn.round == 1 and text != "x":
            self._happened(event, REPLACEMENT)
            actions.give_replacement(event_id=event.pk, turn=turn, reason="raked before it was measured", **day.by())
        if self._due(event, WRONG_BIB) and turn.round == 1:
            state = state_of(event)
            following = [t.turn for t in state.turns if t.turn.round == 1]
            if following:
                self._happened(event, WRONG_BIB)
                actions.move_trial(
                    event_id=event.pk, turn=turn, to_entry=following[0].entry,
                    reason="jumped under the wrong bib", **day.by(DESK),
                )  # fmt: skip

    def bring_back(self, event: Event, state: EventState) -> bool:
        """Whoever is away returns when the round waits for them."""
        for entry in state.waiting_for:
            actions.come_back(event_id=event.pk, entry=entry, **self._day.by())
        return bool(state.waiting_for)
