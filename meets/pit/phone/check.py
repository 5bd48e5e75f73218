"""At the end of each round: both records compared, and what looks wrong although they agree."""

from collections.abc import Iterator, Sequence

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from meets.pit.phone.decide import shown
from meets.pit.phone.own import Own
from meets.pit.phone.told_decisions import Check, Difference
from meets.pit.written import turn_name
from meets.running.trials import SECOND
from meets.running.words import say
from scoring.explain import Sentence
from scoring.facts import Jumped
from scoring.log import Turn
from scoring.marks import Unit, show_mark
from scoring.mixed_up import SWAPPED, WINDS_OFF, swapped_neighbours, winds_off
from scoring.records import Compared, compare
from scoring.records import Difference as Differs
from scoring.state import EventState


def checks_of(own: Own) -> list[Check]:
    """For each event the check of the round that ended last, while there is a second record."""
    return [check for event_id in own.whole.states if (check := _check(own, event_id)) is not None]


def check_to_look_at(checks: Sequence[Check]) -> Check | None:
    return next((one for one in checks if one.differences or one.asks), checks[-1] if checks else None)


def _check(own: Own, event_id: int) -> Check | None:
    ended = _last_ended(own, event_id)
    if ended is None:
        return None
    compared, where = ended
    people, unit = own.whole.people[event_id], Unit(own.whole.events[event_id].meet.unit)
    missing = [people[one.turn.entry].bib for one in compared.blanks]
    differences = [_difference(own, event_id, one, unit) for one in compared.differences if one not in compared.blanks]
    says = _says(compared, missing, where)
    if own.blind:
        # Nothing of the other record is told before this one has the whole round.
        blank = [people[one.turn.entry].bib for one in compared.blanks if one.own is None]
        if blank:
            differences, missing, says = [], blank, _not_here(blank, where)
    asks = list(_asks(own, event_id, compared, unit))
    if _goes_on(own, event_id, compared) and not differences and not asks:
        return None
    return Check(event_id, compared.round, compared.agree, len(compared.turns), says, differences, asks, missing)


def _goes_on(own: Own, event_id: int, compared: Compared) -> bool:
    """Whether those of the round are jumping a later one already."""
    entries = {turn.entry for turn in compared.turns}
    heads = own.whole_logs[event_id].heads.items()
    return any(rows and turn.round > compared.round and turn.entry in entries for turn, rows in heads)


def _last_ended(own: Own, event_id: int) -> tuple[Compared, str] | None:
    """The round, of one flight or of all, that was jumped last and is over, where both records have something.

    And how it is called.
    """
    log, state = own.whole_logs[event_id], own.whole.states[event_id]
    still_open = {item.turn for item in state.turns}
    second = {Turn.of(row.fact) for row in log.rows if row.recorder == SECOND and isinstance(row.fact, Jumped)}
    latest: tuple[int, Compared, str] | None = None
    for round, flight, entries in _rounds(state):
        if any(turn.round == round and turn.entry in entries for turn in still_open):
            continue
        compared = compare(log, SECOND, round, among=entries)
        rows = [row for turn in compared.turns for row in log.heads.get(turn, ())]
        if rows and second & {*compared.turns}:
            at = max(log.first_rev(row) for row in rows)
            if latest is None or at > latest[0]:
                latest = at, compared, _where(round, flight)
    return latest[1:] if latest else None


def _where(round: int, flight: int) -> str:
    if flight:
        return _("Round %(round)d, flight %(flight)d") % {"round": round, "flight": flight}
    return _("Round %(round)d") % {"round": round}


def _rounds(state: EventState) -> Iterator[tuple[int, int, set[str]]]:
    """Every round with those who jump it together: flight by flight, until a cut or a new order joins them.

    The number of the flight is 0 where all jump together.
    """
    joined = min([*(cut.after_round + 1 for cut in state.cuts), *state.rules.reorder_before], default=state.rounds + 1)
    everybody = {entry.line.entry for entry in state.entries}
    flights = [(number, set(flight)) for number, flight in enumerate(state.flights, 1)]
    for round in range(1, state.rounds + 1):
        for number, entries in flights if round < joined and len(flights) > 1 else [(0, everybody)]:
            yield round, number, entries


def _says(compared: Compared, missing: Sequence[str], where: str) -> str:
    of, agree = len(compared.turns), compared.agree
    many = of - agree - len(missing)
    values = {"where": where, "many": many, "of": of, "agree": agree}
    if many:
        says = ngettext("%(where)s: %(many)d of %(of)d differs.", "%(where)s: %(many)d of %(of)d differ.", many)
    elif missing:
        says = ngettext("%(where)s: %(agree)d of %(of)d agrees.", "%(where)s: %(agree)d of %(of)d agree.", agree)
    else:
        says = ngettext("%(where)s: the one trial agrees.", "%(where)s: all %(of)d agree.", of)
    return " ".join(part for part in (says % values, _not_yet(missing)) if part)


def _not_yet(bibs: Sequence[str]) -> str:
    """Nothing is wrong with a turn that one of the two has still to write."""
    if not bibs:
        return ""
    says = ngettext(
        "%(many)d not yet entered in both records: bib %(bibs)s.",
        "%(many)d not yet entered in both records: bibs %(bibs)s.",
        len(bibs),
    )
    return says % {"many": len(bibs), "bibs": ", ".join(bibs)}


def _not_here(bibs: Sequence[str], where: str) -> str:
    says = ngettext(
        "%(where)s: bib %(bibs)s is not written here yet.",
        "%(where)s: bibs %(bibs)s are not written here yet.",
        len(bibs),
    )
    return says % {"where": where, "bibs": ", ".join(bibs)}


def _difference(own: Own, event_id: int, one: Differs, unit: Unit) -> Difference:
    """`own` is the second record where the second recorder asks, else the first."""
    said = [shown(row, unit) if row is not None else "" for row in (one.own, one.other)]
    own_says, other_says = said if own.blind else reversed(said)
    return Difference(
        turn=turn_name(one.turn),
        event=event_id,
        entry=one.turn.entry,
        bib=own.whole.people[event_id][one.turn.entry].bib,
        what="wind" if one.is_wind else "trial",
        own=own_says,
        other=other_says,
    )


def _asks(own: Own, event_id: int, compared: Compared, unit: Unit) -> Iterator[str]:
    """By what the role itself may see."""
    state, log, people = own.view.states[event_id], own.logs[event_id], own.view.people[event_id]
    written = sorted((t for t in compared.turns if log.heads.get(t)), key=lambda t: log.first_rev(log.heads[t][0]))
    seeds = {entry: person.seed_mark for entry, person in people.items()}
    for swap in swapped_neighbours(state, written, seeds, unit):
        marks = {one.turn: one.trial for entry in state.entries for one in entry.turns}
        values = {
            "first": people[swap.first.entry].bib,
            "first_mark": show_mark(marks[swap.first].mark, unit),
            "second": people[swap.second.entry].bib,
            "second_mark": show_mark(marks[swap.second].mark, unit),
        }
        yield say(Sentence(SWAPPED, values))
    off = winds_off(state, log, {*compared.turns, *(t for t in log.winds if t.round == compared.round)})
    if off is not None:
        bibs = ", ".join(people[turn.entry].bib for turn in off.without_jump if turn.entry in people)
        values = {"winds": off.winds, "marks": off.measured, "round": compared.round, "bibs": bibs}
        yield say(Sentence(WINDS_OFF, values))
