"""Questions about slips, handed to phones as bands of values: they are asked without the server, too."""

from collections.abc import Iterator

from django.utils.translation import gettext as _

from meets.models import Role
from meets.pit.phone.own import Own
from meets.pit.phone.told_asks import AskOrder, Asks, AskSame, AskWinds, Band, Guess
from meets.pit.phone.turns import board_of, sand_by_entry
from meets.running.trials import RECENT_WINDS
from meets.running.words import say
from scoring import bands
from scoring.facts import WindRead
from scoring.log import Row
from scoring.marks import Unit, mark_in_quarter_inches
from scoring.rulesets import RuleSet
from scoring.slips import (
    NO_TURN,
    OUT_OF_ORDER,
    SAME_BIB,
    SAME_MARK,
    SAME_WITHIN_S,
    WHILE_SUSPENDED,
    WIND_WITHOUT_JUMP,
    Question,
)

RANGE = "range"


def longest_mark(rules: RuleSet, unit: Unit, *, triple: bool) -> int:
    """The longest mark that is taken, in the meet's unit."""
    longest_cm = rules.longest_cm(triple)
    return longest_cm if unit is Unit.CM else mark_in_quarter_inches(longest_cm)


def asks(own: Own) -> dict[str, Asks]:
    """By entry, the marks that raise a question for the turn the athlete has next."""
    found: dict[str, Asks] = {}
    for event_id, state in own.view.states.items():
        event = own.view.events[event_id]
        unit, sand = Unit(event.meet.unit), sand_by_entry(own.view, event_id)
        longest = longest_mark(state.rules, unit, triple=event.discipline == "TJ")
        for item in (item for item in own.view.queue if item.event_id == event_id):
            entry = item.turn.entry
            if entry not in found:
                person, board_cm = own.view.people[event_id][entry], board_of(own.view, event, state.entry(entry))
                raised = bands.mark_bands(
                    state,
                    item.turn,
                    longest=longest,
                    board_cm=board_cm,
                    seed_mark=person.seed_mark,
                    unit=unit,
                    sand_cm=sand[entry],
                )
                found[entry] = Asks(item.turn.round, board_cm, [_worded(band) for band in raised])
    return found


def _worded(band: bands.Band) -> Band:
    values = band.values | {"mark": "{mark}", "wind": "{wind}", "guess": "{guess}"}
    guess = None if band.guess is None else Guess(band.guess.add, band.guess.swap)
    kind = RANGE if band.kind == "cannot be" else band.kind
    return Band(band.low, band.high, kind, say(Question(band.kind, band.message, values)), guess)


def ask_winds(own: Own) -> AskWinds:
    """Beside the last readings of this record; who writes none himself sees those of all."""
    read = sorted(_readings(own), key=lambda row: (row.at is not None and row.at.timestamp(), row.rev))
    last = [row.fact.tenths for row in read][-RECENT_WINDS:]
    rules = _rules(own)
    return AskWinds(
        last=last,
        flip=rules.ask_wind_flip_tenths,
        stale=bands.STALE_AFTER,
        bands=[_worded(band) for band in bands.wind_bands(last, rules)],
        says_flip=_said(bands.WIND_FLIP, "wind", "usual"),
        says_stale=_said(bands.WIND_STALE, "wind"),
        says_no_jump=_said(WIND_WITHOUT_JUMP),
    )


def _readings(own: Own) -> Iterator[Row]:
    record = own.record if own.role in (Role.RECORDER, Role.SECOND, Role.GAUGE) else ""
    for log in own.logs.values():
        for heads in log.winds.values():
            for row in heads:
                fact = row.fact
                if isinstance(fact, WindRead) and fact.tenths is not None and record in ("", row.recorder):
                    yield row


def _rules(own: Own) -> RuleSet:
    """Those of whoever is up."""
    event_id = own.view.queue[0].event_id if own.view.queue else next(iter(own.view.states), None)
    return RuleSet() if event_id is None else own.view.states[event_id].rules


def ask_same() -> AskSame:
    return AskSame(SAME_WITHIN_S, _said(SAME_BIB, "bib"), _said(SAME_MARK, "mark"))


def ask_order() -> AskOrder:
    return AskOrder(
        says_order=_said(OUT_OF_ORDER, "bib", "up"),
        says_no_turn=_said(NO_TURN, "bib", "round"),
        says_suspended=_said(WHILE_SUSPENDED, "bib"),
        says_range=_said(bands.CANNOT_BE, "mark", "board", "low", "high"),
        says_longest=_("{mark} cannot be: nobody has jumped over {longest}. Ask the measurer to read it again."),
        says_ready=_("Nobody may jump yet: the sand has not been signed off. Record this trial all the same?"),
    )


def _said(message: str, *names: str) -> str:
    """A sentence with places for what only the phone knows."""
    return say(Question("", message, {name: f"{{{name}}}" for name in names}))
