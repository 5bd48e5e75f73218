"""Who is up, next and then, and what the next trial of each must bring, in words."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from meets.board.people import Person
from meets.board.together import InLine
from meets.entries.values import show_board
from meets.models import Event
from meets.records.reads import RecordLine
from meets.running.reads import is_triple
from scoring.marks import Unit, mark_in_quarter_inches, show_mark
from scoring.needs import Needs, NoNeed, needs_of
from scoring.state import EventState, NextTurn

IN_SIGHT_PERCENT = 4


@dataclass(frozen=True, slots=True)
class Called:
    """A turn to come. `word`: up now, next, then; `needs` in full words, `short` the same for a large screen."""

    word: str
    person: Person
    round: int
    board: str
    best: str
    needs: tuple[str, ...]
    short: str


MOST_CALLED = 3


def called_of(
    event: Event,
    state: EventState,
    line: Sequence[InLine],
    people: Mapping[str, Person],
    records: tuple[RecordLine, ...],
) -> tuple[Called, ...]:
    """The next three turns of athletes who are here; `line`: all of them."""
    return tuple(
        _called(event, state, one.turn, _word(one), people[one.turn.turn.entry], records) for one in line[:MOST_CALLED]
    )


def _word(one: InLine) -> str:
    """When it is the turn; the first of an event may wait for many of another in the same list."""
    if one.ahead > 1 and one.after:
        return _("After %(events)s") % {"events": one.after}
    return (_("Up now"), _("Next"), _("Then"))[min(one.ahead, 2)]


def _called(
    event: Event, state: EventState, turn: NextTurn, word: str, person: Person, records: tuple[RecordLine, ...]
) -> Called:
    unit = Unit(event.meet.unit)
    entry = state.entry(turn.turn.entry)
    needs = needs_of(state, turn.turn.entry, longest=_longest(event, state, unit))
    return Called(
        word=word,
        person=person,
        round=turn.turn.round,
        board=show_board(turn.board_cm, unit) if turn.board_cm else "",
        best="" if entry.best is None else show_mark(entry.best, unit),
        needs=(*_in_words(needs, unit, entry.line.klass), *_records_in_sight(person, entry.best, records)),
        short=_short(needs, unit),
    )


def _longest(event: Event, state: EventState, unit: Unit) -> int:
    """The longest mark that can be, in the meet's unit."""
    longest_cm = state.rules.longest_cm(is_triple(event))
    return longest_cm if unit is Unit.CM else mark_in_quarter_inches(longest_cm)


def _in_words(needs: Needs, unit: Unit, klass: str) -> Iterator[str]:
    """`klass`: of whom alone there is a lead to take."""
    yield from _to_go_on(needs, unit)
    values = {"name": klass}
    if needs.win.mark is not None:
        words = _("%(mark)s to lead class %(name)s") if klass else _("%(mark)s to lead")
        yield words % {**values, "mark": _mark(needs.win.mark, unit)}
    elif needs.win.why_none is NoNeed.INSIDE:
        yield _("leads class %(name)s") % values if klass else _("leads")
    if needs.lead.mark is not None and needs.lead != needs.win:
        yield _("%(mark)s is ahead of everybody, guests too") % {"mark": _mark(needs.lead.mark, unit)}


def _to_go_on(needs: Needs, unit: Unit) -> Iterator[str]:
    values = {"many": needs.how_many, "round": needs.after_round}
    if needs.go_on.mark is not None:
        values["mark"] = _mark(needs.go_on.mark, unit)
        if needs.after_round:
            yield _("needs %(mark)s to be among the best %(many)d after round %(round)d") % values
        else:
            yield _("needs %(mark)s to qualify") % values
    elif needs.go_on.why_none is NoNeed.INSIDE:
        if needs.after_round:
            yield _("among the best %(many)d so far") % values
        else:
            yield _("in a qualifying place so far")


def _short(needs: Needs, unit: Unit) -> str:
    """The one thing to shout: what it takes to go on, else to lead."""
    if needs.go_on.mark is not None:
        return _("needs %(mark)s") % {"mark": _mark(needs.go_on.mark, unit)}
    if needs.win.mark is not None:
        return _("%(mark)s to lead") % {"mark": _mark(needs.win.mark, unit)}
    return ""


def _mark(mark: int, unit: Unit) -> str:
    """The smallest of all marks stands for: whatever is valid."""
    return _("any valid mark") if mark == 1 else show_mark(mark, unit)


def _records_in_sight(person: Person, best: int | None, records: tuple[RecordLine, ...]) -> Iterator[str]:
    """Records that the athlete may take with a jump a little better than the best of the day."""
    for record in records:
        if record.mark is None or best is None or record.of_school not in ("", person.school_code):
            continue
        if best < record.mark <= best + record.mark * IN_SIGHT_PERCENT // 100:
            yield _("%(level)s %(mark)s in sight") % {"level": record.level, "mark": record.shown}
