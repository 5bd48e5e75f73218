"""What is printed before anybody jumps: start list, field sheet, wind list, protest slip, from what is known."""

from __future__ import annotations

from django.utils.translation import gettext as _

from meets.entries.values import show_board
from meets.sheets import wording
from meets.sheets.documents import FieldSheet, Flight, ProtestSlip, StartLine, StartList, WindList
from meets.sheets.reads import Known
from scoring.marks import Unit, show_mark


def start_list(known: Known) -> StartList:
    return StartList(
        known.about,
        flights(known),
        triple=known.triple,
        records=tuple(wording.record_words(record) for record in known.records),
        standards=standards(known),
    )


def field_sheet(known: Known) -> FieldSheet:
    rules = known.state.rules
    later = wording.later_rounds(rules)
    order = _("write the bibs first, in the order read out") if later else ""
    return FieldSheet(
        known.about,
        known.number,
        flights(known),
        rounds=wording.first_rounds(rules),
        later_rounds=later,
        later_lines=_later_lines(known),
        later_order=order,
        feet=known.unit is Unit.QUARTER_INCH,
    )


def wind_list(known: Known) -> WindList:
    rules = known.state.rules
    return WindList(
        known.about,
        known.number,
        flights(known),
        rounds=wording.first_rounds(rules),
        later_rounds=wording.later_rounds(rules),
        later_lines=_later_lines(known),
        gauge=known.gauge,
    )


def protest_slip(known: Known) -> ProtestSlip:
    return ProtestSlip(known.about, known.state.rules.protest_minutes)


def standards(known: Known) -> tuple[str, ...]:
    """The named standards of the event in one line, and the qualifying standard of a qualification round."""
    named = ", ".join(f"{one.name} {one.shown}" for one in known.standards)
    qualifying = show_mark(known.state.rules.standard, known.unit) if known.state.rules.standard else ""
    qualifies = _("%(mark)s qualifies") % {"mark": qualifying} if qualifying else ""
    return tuple(line for line in (named, qualifies) if line)


def flights(known: Known) -> tuple[Flight, ...]:
    """The flights with their lines; before the draw one list without an order."""
    found = []
    for number, flight in enumerate(known.flights, 1):
        parts = [_("Flight %(number)d") % {"number": number}] if len(known.flights) > 1 else []
        parts += [part for part in (flight.pit, flight.starts_at) if part]
        if not known.state.flights:
            parts = [_("Not drawn yet: in order of bibs")]
        lines = tuple(_line(known, entry, order) for order, entry in enumerate(flight.entries, 1))
        found.append(Flight(" · ".join(parts), lines))
    return tuple(found)


def _line(known: Known, entry: str, order: int) -> StartLine:
    person = known.people[entry]
    drawn = bool(known.state.flights)
    own = known.state.entry(entry) if drawn else None
    guest = own.guest if own else person.guest
    board_cm = (own.board_cm if own else None) or person.board_cm or known.only_board_cm
    return StartLine(
        order=str(order) if drawn else "",
        bib=person.bib,
        name=person.name,
        school=person.school,
        string=_("guest") if guest else person.string,
        year_group=person.year_group,
        seed=show_mark(person.seed_mark, known.unit) if person.seed_mark else "",
        seed_note=wording.seed_note(person.seed_wind_tenths, person.seed_date) if person.seed_mark else "",
        board=show_board(board_cm, known.unit) if board_cm else "",
        also_in=known.also_in.get(entry, ()),
        say_it=person.say_it,
        note=_("added at the pit, to be confirmed") if own and own.pending else "",
        klass=known.state.entry(entry).line.klass,
    )


def _later_lines(known: Known) -> int:
    """As many lines as may go on; everybody where there is only a new order."""
    rules = known.state.rules
    entered = max(len(known.people), 1)
    return min(rules.cuts[0][1], entered) if rules.cuts else entered
