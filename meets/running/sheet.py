"""A field sheet as it was written at the pit: what it says beside the log, and its rows, all stored or none."""

from collections.abc import Collection, Sequence
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from meets.models import Entry, Event
from meets.running.on_paper import Difference, FieldSheet, SheetReading, SheetTrial
from meets.running.record import Recorded, record
from meets.running.refusals import Refusal, refuse_what_cannot_be
from meets.running.sheet_decisions import decide
from meets.running.sheet_questions import slips_of
from meets.running.sheet_rows import SheetRows
from meets.running.trials import PAPER, TypedTrial, read_trial
from meets.running.words import say
from scoring.facts import Added, CheckedIn, Confirmed, DidNotStart, Drawn, Jumped, NoGauge, ProtestLodged, WindRead
from scoring.log import Row, Turn, agree
from scoring.marks import show_mark
from scoring.state import EventState
from scoring.trials import Result, Trial
from scoring.wind import Wind, show_wind


@transaction.atomic
def record_sheet(
    *,
    event_id: int,
    sheet: FieldSheet,
    by: str,
    now: datetime,
    ticked: Collection[str] = (),
    reason: str = "",
    seen_version: int | None = None,
) -> Recorded:
    """Put a sheet into the log, with the check-ins and decisions it implies. Raises Refusal, and then stores nothing.

    `ticked`: keys of the questions that were looked at; `reason` for decisions that depart from the proposals.
    """
    event = Event.objects.select_for_update(of=("self",)).select_related("meet").get(pk=event_id)
    reading = read_sheet(event, sheet, reason)
    if reading.refused:
        raise Refusal(" ".join(reading.refused))
    if any(question.key not in ticked for question in reading.questions):
        raise Refusal(_("Look at every question beside its box and tick it; nothing is stored before."))
    if reading.departs and not reason.strip():
        raise Refusal(_("The sheet differs from what the trials give. Please write why, as the referee told it."))
    seen = reading.version if seen_version is None else seen_version
    return record(event_id=event_id, facts=reading.facts, by=by, recorder=PAPER, now=now, seen_version=seen)


def read_sheet(event: Event, sheet: FieldSheet, reason: str = "") -> SheetReading:
    """Work out the rows of a sheet, its questions and what it disagrees about. Stores nothing."""
    return _Reader(SheetRows(event), sheet, reason).read()


class _Reader:
    """Adds the boxes of a sheet to the log, one block of rounds after another, with the decisions in between."""

    def __init__(self, rows: SheetRows, sheet: FieldSheet, reason: str) -> None:
        self.rows, self.sheet, self.out = rows, sheet, rows.out
        self.bibs = rows.bibs
        self.reason = reason.strip() or _("as written on the field sheet")
        self.typed: dict[Turn, Trial] = {}
        self.again: list[Turn] = []

    def read(self) -> SheetReading:
        rows, sheet = self.rows, self.sheet
        if ({t.entry for t in sheet.trials} | {*sheet.order, *sheet.did_not_start}) - set(self.bibs):
            rows.refuse(_("A line names an athlete who is not entered in %(event)s.") % {"event": rows.event.name})
            return self.out
        before = rows.state()
        self.people(before)
        silent = sheet.no_gauge and not before.no_gauge
        if silent:
            rows.add(NoGauge())
        later = [block for block in sheet.later if block.order]
        ends = [*(block.first for block in later), None]
        self.block(1, ends[0], sheet.order)
        for block, end in zip(later, ends[1:], strict=True):
            if not decide(rows, block, self.reason, order_written=sheet.order_written):
                break
            self.block(block.first, end, block.order)
        if silent:
            rows.add(NoGauge(until=True))
        if self.again:
            rows.refuse(self.typed_before())
        if not self.typed and not sheet.did_not_start:
            rows.refuse(_("Nothing is typed yet."))
        self.out.state = rows.state(everything=True)
        known = {alarm.key for alarm in before.alarms}
        self.out.alarms = tuple(alarm for alarm in self.out.state.alarms if alarm.key not in known)
        self.ask()
        return self.out

    def people(self, state: EventState) -> None:
        """The lot if there was none, who was added, who is here and who did not start."""
        if not state.flights:
            self.rows.add(Drawn((self.sheet.order,), "paper sheet"))
        drawn = {entry for flight in state.flights for entry in flight}
        known = {entry.line.entry: entry for entry in state.entries}
        here = list(dict.fromkeys(trial.entry for trial in self.sheet.trials))
        for entry in here:
            if state.flights and entry not in drawn:
                self.rows.add(Added(entry), reason=_("on a spare line of the field sheet"))
                if self.rows.entries[entry].status == Entry.Status.CONFIRMED:
                    self.rows.add(Confirmed(entry))
            if known[entry].status == "DNS" and not known[entry].turns:
                says = _("Bib %(bib)s was marked as not here, and has trials on the sheet: is taken as here.")
                self.rows.decided(says % {"bib": self.bibs[entry]})
            if not known[entry].checked_in:
                self.rows.add(CheckedIn(entry))
        for entry in self.sheet.did_not_start:
            if entry in here:
                says = _("Bib %(bib)s did not start by the sheet, and has trials on it.")
                self.rows.refuse(says % {"bib": self.bibs[entry]})
            elif known[entry].status != "DNS":
                self.rows.add(DidNotStart(entry))

    def block(self, first: int, end: int | None, order: Sequence[str]) -> None:
        """The boxes of the rounds from `first` to before `end`, as they were jumped; then those that are empty."""
        position = {entry: number for number, entry in enumerate(order)}
        boxes = [t for t in self.sheet.trials if first <= t.round and (end is None or t.round < end)]
        boxes.sort(key=lambda box: (box.round, position.get(box.entry, len(position))))
        for box in boxes:
            self.box(box)
        last = max((box.round for box in boxes), default=0) if end is None else end - 1
        for turn in (item.turn for item in self.rows.state().turns):
            if first <= turn.round <= last and (end is not None or turn.entry in position):
                self.empty(turn, goes_on=end is not None)

    def empty(self, turn: Turn, *, goes_on: bool) -> None:
        values = {"bib": self.bibs[turn.entry], "round": turn.round}
        if goes_on:
            says = _("Bib %(bib)s has nothing in round %(round)s, and the sheet goes on. Type a mark, x, - or r.")
            self.rows.refuse(says % values)
        else:
            says = _("Bib %(bib)s has nothing in round %(round)s. Is that box empty on the paper?")
            self.rows.question("blank", turn.entry, turn.round, says % values)

    def box(self, box: SheetTrial) -> None:
        turn = Turn(box.entry, box.round)
        while turn in self.rows.log.replaced:
            turn = turn._replace(replacement=turn.replacement + 1)
        protest = box.text.startswith("x/")
        text = box.text.removeprefix("x/")
        try:
            trial = read_trial(TypedTrial(turn, text, box.wind, under_protest=protest), self.rows.unit)
            jumped = Jumped(*turn[:2], trial.result, trial.mark, turn.replacement, under_protest=protest)
            refuse_what_cannot_be(jumped, self.rows.event, self.bibs, self.rows.rules)
        except Refusal as refusal:
            values = {"bib": self.bibs[box.entry], "round": box.round, "why": str(refusal)}
            self.rows.refuse(_("Bib %(bib)s, round %(round)s: %(why)s") % values)
            return
        self.typed[turn] = trial
        if any(row.recorder == PAPER for row in self.rows.log.heads.get(turn, ())):
            self.again.append(turn)
        else:
            self.beside_other_records(box, turn, jumped, trial.wind)

    def beside_other_records(self, box: SheetTrial, turn: Turn, jumped: Jumped, wind: Wind | None) -> None:
        """Equal rows confirm each other; different ones are a disagreement for the referee."""
        said, winds = self.rows.log.heads.get(turn, []), self.rows.log.winds.get(turn, [])
        read = None if wind is None else WindRead(*turn[:2], wind.tenths, turn.replacement)
        differs = bool(said) and not agree([*said, Row("", 0, jumped)])
        wind_differs = bool(winds) and read is not None and not agree([*winds, Row("", 0, read)])
        self.rows.add(jumped, contradicts=differs)
        if jumped.under_protest and not said:
            name = f"{turn.entry}-{turn.round}-{turn.replacement}"
            self.rows.add(ProtestLodged(name, *turn), reason=_("measured under protest by the field sheet"))
        if read is not None:
            self.rows.add(read, contradicts=wind_differs)
        if differs or wind_differs:
            on_sheet, recorded = f"{box.text} {box.wind}".strip(), self.shown(said, winds)
            self.out.differences.append(Difference(box.entry, box.round, on_sheet, recorded))
        elif said:
            self.out.confirmed += 1

    def shown(self, said: Sequence[Row], winds: Sequence[Row]) -> str:
        """What another record has for a turn, as it would stand on a sheet."""
        text = wind = ""
        if said and isinstance(fact := said[0].fact, Jumped):
            mark = "" if fact.mark is None else show_mark(fact.mark, self.rows.unit)
            text = mark if fact.result is Result.MARK else "/".join(filter(None, (str(fact.result), mark)))
        if winds and isinstance(read := winds[0].fact, WindRead):
            wind = show_wind(Wind(read.tenths))
        return f"{text} {wind}".strip()

    def typed_before(self) -> str:
        says = ngettext(
            "%(count)d box was typed in from a sheet before: bib %(bib)s, round %(round)s. Correct it, with a reason.",
            "%(count)d boxes were typed in from a sheet before, the first bib %(bib)s, round %(round)s. "
            "Correct them one by one, with a reason.",
            len(self.again),
        )
        first = self.again[0]
        return says % {"count": len(self.again), "bib": self.bibs[first.entry], "round": first.round}

    def ask(self) -> None:
        """What looks like a slip; boxes that another record says something about are not asked about."""
        for turn, asked in slips_of(
            self.typed,
            self.rows.state_without,
            confirmed=self.rows.log.heads,
            seeds={key: entry.seed_mark for key, entry in self.rows.entries.items()},
            unit=self.rows.unit,
            sand_cm=self.rows.sand_cm,
        ):
            self.rows.question(asked.kind.replace(" ", "-"), turn.entry, turn.round, say(asked))
