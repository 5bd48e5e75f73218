"""The check of a file: every line accounted for, nothing stored."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from django.utils import timezone
from django.utils.translation import gettext as _

from athletes.reading.table import Table
from meets.entries import eligible, limits
from meets.entries.columns import Field, match_columns
from meets.entries.drafting import Draft, Drafter
from meets.entries.known import Known, KnownEvent, athletes_of, known_of
from meets.entries.limits import People, Person, Strings
from meets.entries.outcome import CheckedFile, CheckedLine, Reason, Verdict, Wanted, Weight
from meets.models import Meet
from scoring.ages import age_on
from scoring.marks import show_mark

VERDICT_OF = {
    None: Verdict.ACCEPTED,
    Weight.ADVICE: Verdict.ADVICE,
    Weight.QUESTION: Verdict.ASKED,
    Weight.REFUSAL: Verdict.REFUSED,
}

Step = Callable[[int, int], None]


def check_table(table: Table, meet: Meet, *, now: datetime, step: Step | None = None) -> CheckedFile:
    """Check a table for a meet. `step(done, all)` is told how far it is. Raises Unreadable for its headings."""
    columns = match_columns(table)
    known = known_of(meet)
    drafter = Drafter(table, columns, known, timezone.localdate(now))
    drafts = [drafter.draft(line) for line in table.lines]
    checker = _Checker(drafter, known, drafts)
    lines = []
    for done, draft in enumerate(drafts, 1):
        lines.append(checker.check(draft))
        if step is not None:
            step(done, len(drafts))
    return CheckedFile(
        name=table.name,
        meet_pk=meet.pk,
        headings=table.headings,
        heading_line=table.heading_line,
        lines=tuple(lines),
        notices=(*table.notices, *_notices(known, columns.unknown, lines)),
        new_schools=tuple(drafter.finder.new_schools.values()),
        late=meet.entry_deadline is not None and now > meet.entry_deadline,
        basis=known.basis,
    )


def _notices(known: Known, unknown: tuple[str, ...], lines: list[CheckedLine]) -> list[str]:
    notices = []
    if unknown:
        notices.append(_("Columns that are not read: %(names)s.") % {"names": ", ".join(unknown)})
    wanted = {line.wanted.event_pk for line in lines if line.wanted is not None}
    drawn = [event.name for event in known.events.values() if event.pk in wanted and event.has_log]
    if drawn:
        notices.append(_("Drawn already, to be drawn again after storing: %(names)s.") % {"names": ", ".join(drawn)})
    unchecked = sorted({e.parts.age_group for e in known.events.values() if e.pk in wanted and e.group is None})
    if unchecked:
        notices.append(
            _("Ages are not checked for %(names)s: the meet's age scheme has no such group.")
            % {"names": ", ".join(unchecked)}
        )
    return notices


class _Checker:
    """Goes through the drafts in the order of the file and remembers who and what is held."""

    def __init__(self, drafter: Drafter, known: Known, drafts: list[Draft]) -> None:
        self._drafter, self._known = drafter, known
        athletes = athletes_of({draft.school.pk for draft in drafts if draft.school is not None}, known.meet)
        self._people = People(athletes, known.entries)
        self._strings = Strings(known.entries)

    def check(self, draft: Draft) -> CheckedLine:
        line = draft.line
        if line.is_empty:
            return CheckedLine(line.number, Verdict.EMPTY, (), ())
        if not draft.is_entry:
            return CheckedLine(line.number, Verdict.REFUSED, tuple(draft.reasons), line.values)
        person = self._person(draft)
        if repeat := self._repeat(draft, person):
            return repeat
        self._check_event(draft, person)
        self._check_person(draft, person)
        wanted = None
        if not draft.refused and person is not None and draft.event is not None:
            wanted = self._wanted(draft, person, draft.event)
            if person.line == line.number:
                self._people.add(person)
            person.standing[draft.event.pk] = line.number
            person.seeds[draft.event.pk] = draft.seed_mark
            person.not_public |= draft.not_public
        verdict = VERDICT_OF[max((reason.weight for reason in draft.reasons), default=None)]
        return self._checked(draft, verdict, wanted)

    def _say(self, draft: Draft, field: Field | None, weight: Weight, says: str) -> None:
        if says:
            draft.reasons.append(Reason(weight, says, self._drafter.heading(field) if field else ""))

    def _person(self, draft: Draft) -> Person | None:
        """Who the line is about; somebody new is known to others only once the line stands."""
        if draft.school is None or not draft.first_name or not draft.last_name or draft.born is None or not draft.sex:
            return None
        who = (draft.school.pk, draft.first_name, draft.last_name, draft.born)
        person = self._people.find(*who)
        if person is None:
            return Person(None, *who, draft.sex, line=draft.line.number)
        if person.sex != draft.sex:
            says = _("the same athlete stands with the other sex in %(where)s. Correct one of them.")
            where = _("line %(line)s") % {"line": person.line} if person.line else _("an entry or list stored before")
            self._say(draft, Field.SEX, Weight.REFUSAL, says % {"where": where})
        return person

    def _repeat(self, draft: Draft, person: Person | None) -> CheckedLine | None:
        if person is None or draft.event is None:
            return None
        event_pk = draft.event.pk
        if event_pk in person.withdrawn:
            says = _("%(name)s was withdrawn from this event; restore that entry instead.") % {"name": person.name}
            self._say(draft, None, Weight.REFUSAL, says)
            return None
        if event_pk not in person.standing:
            return None
        line = person.standing[event_pk]
        if line is None:
            says = _("%(name)s is entered in %(event)s already.")
        else:
            says = _("the same athlete and event as line %(line)s: not entered twice.")
        says %= {"name": person.name, "event": draft.event.name, "line": line}
        before = person.seeds.get(event_pk)
        if draft.seed_mark is not None and draft.seed_mark != before:
            unit = self._known.unit
            says += " " + _("The best here is %(here)s, there %(there)s, which stays.") % {
                "here": show_mark(draft.seed_mark, unit),
                "there": _("none") if before is None else show_mark(before, unit),
            }
        if draft.not_public and not person.not_public:
            says += " " + _("That the name is not shown has to be said there too: this line is not stored.")
        draft.reasons.insert(0, Reason(Weight.ADVICE, says))
        return self._checked(draft, Verdict.REPEAT, None)

    def _check_event(self, draft: Draft, person: Person | None) -> None:
        """Sex, age, and the athlete's other events."""
        event = draft.event
        if event is None:
            return
        if draft.sex:
            self._say(draft, Field.SEX, Weight.REFUSAL, eligible.sex_against(event, draft.sex))
        if draft.born is not None:
            known = self._known
            for weight, says in eligible.age_against(known.meet, event, draft.born, known.age_day, draft.school_year):
                self._say(draft, Field.BORN, weight, says)
        if person is not None:
            others = [self._known.events[pk] for pk in person.standing]
            self._say(draft, Field.EVENT, Weight.REFUSAL, limits.too_many_events(event, others))
            self._say(draft, Field.EVENT, Weight.REFUSAL, limits.two_age_groups(event, others))
        if draft.school is not None and not draft.guest:
            # Also for a line that is refused: it holds its string until it is corrected.
            said = self._strings.take(draft.school.pk, event, draft.string, draft.line.number)
            self._say(draft, Field.STRING, Weight.REFUSAL, said)

    def _check_person(self, draft: Draft, person: Person | None) -> None:
        """A slip that makes one athlete two; the seed mark and the board."""
        if person is not None and person.pk is None and person.line == draft.line.number:
            other = self._people.probably(person.school_pk, person.first_name, person.last_name, person.born)
            if other is not None:
                if other.line:
                    says = _(
                        "probably the same athlete as %(name)s of line %(line)s, whose date of birth is near. "
                        "Entered as another athlete if you agree."
                    )
                elif other.born is None:
                    says = _(
                        "probably the same athlete as %(name)s, who was named at a pit without a date of birth: give "
                        "the date there. Entered as another athlete if you agree."
                    )
                else:
                    says = _(
                        "probably the same athlete as %(name)s, who is known already with a date of birth that is "
                        "near. Entered as another athlete if you agree."
                    )
                self._say(draft, Field.BORN, Weight.QUESTION, says % {"name": other.name, "line": other.line})
        if person is not None and (other := self._people.elsewhere(person)) is not None:
            says = _("%(school)s has entered somebody of the same name and date of birth. Is it the same athlete?")
            school = next(school.code for school in self._known.schools if school.pk == other.school_pk)
            self._say(draft, Field.CODE, Weight.ADVICE, says % {"school": school})
        if draft.event is None or draft.born is None:
            return
        # A best that could not be read has been asked about already.
        best = self._drafter.heading(Field.BEST)
        if draft.seed_mark is None and not any(reason.column == best for reason in draft.reasons):
            self._say(draft, Field.BEST, Weight.ADVICE, _("no best: entered without a seed mark."))
        self._check_board(draft, draft.event, person)

    def _check_board(self, draft: Draft, event: KnownEvent, person: Person | None) -> None:
        recent = self._known.recent_cm.get((person.pk, event.parts.discipline), []) if person and person.pk else []
        age = age_on(draft.born, self._known.meet.date) if draft.born and draft.born <= self._known.meet.date else 0
        for weight, says in eligible.board_said(event, draft.board_cm, draft.seed_mark, recent, age, self._known.unit):
            self._say(draft, Field.BOARD, weight, says)
        draft.board_cm = eligible.fitted_board(event, draft.board_cm)

    def _wanted(self, draft: Draft, person: Person, event: KnownEvent) -> Wanted:
        assert draft.school is not None
        return Wanted(
            school_pk=draft.school.pk,
            school_code=draft.school.code,
            athlete_pk=person.pk,
            first_name=person.first_name,
            last_name=person.last_name,
            born=person.born,
            sex=person.sex,
            event_pk=event.pk,
            event_name=event.name,
            string=draft.string,
            guest=draft.guest,
            klass=draft.klass,
            seed_mark=draft.seed_mark,
            seed_wind_tenths=draft.seed_wind_tenths if draft.seed_mark is not None else None,
            seed_date=draft.seed_date if draft.seed_mark is not None else None,
            board_cm=draft.board_cm,
            school_year=draft.school_year,
            say_it=draft.say_it,
            not_public=draft.not_public,
        )

    def _checked(self, draft: Draft, verdict: Verdict, wanted: Wanted | None) -> CheckedLine:
        line, text = draft.line, self._drafter.text
        name = wanted.name if wanted else f"{text(draft, Field.FIRST_NAME)} {text(draft, Field.LAST_NAME)}".strip()
        return CheckedLine(
            line.number,
            verdict,
            tuple(draft.reasons),
            line.values,
            wanted,
            name,
            draft.school.code if draft.school else text(draft, Field.CODE) or text(draft, Field.SCHOOL),
            draft.event.name if draft.event else text(draft, Field.EVENT),
        )
