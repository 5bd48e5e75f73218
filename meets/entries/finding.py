"""Which school and which event a line means; when it is none of them, which one it may have meant."""

from __future__ import annotations

import difflib
import re
from collections.abc import Collection
from datetime import date

from django.utils.translation import gettext as _

from athletes.models import Athlete
from athletes.reading.names import folded, tidy_text
from meets.entries.event_names import EventName, parse_event_name
from meets.entries.known import Known, KnownEvent, KnownSchool
from meets.entries.outcome import NewSchool, Reason, Weight
from meets.models import Event
from scoring.age_schemes import scheme
from scoring.ages import group_of

CODE = re.compile(r"[A-Z0-9][A-Z0-9-]{1,7}")
LONGEST_SCHOOL = 80
CATEGORY_OF = {Athlete.Sex.FEMALE: Event.Category.GIRLS, Athlete.Sex.MALE: Event.Category.BOYS}

FoundSchool = tuple[KnownSchool | None, tuple[Reason, ...]]
FoundEvent = tuple[KnownEvent | None, tuple[Reason, ...]]


class Finder:
    """Looks names up and remembers the answers: a file says the same few again and again."""

    def __init__(self, known: Known, columns: dict[str, str]) -> None:
        """`columns`: the file's own headings for code, school, event, age group."""
        self._known, self._columns = known, columns
        self._schools: dict[tuple[str, str], FoundSchool] = {}
        self._events: dict[tuple[str, str, str, str], FoundEvent] = {}
        self._groups: dict[date, str] = {}
        self.new_schools: dict[str, NewSchool] = {}

    def school(self, code: str, name: str) -> FoundSchool:
        key = (code, name)
        if key not in self._schools:
            self._schools[key] = self._school(tidy_text(code), tidy_text(name))
        return self._schools[key]

    def event(self, text: str, age_group: str, sex: str, born: date | None = None) -> FoundEvent:
        key = (text, age_group, sex, self._group_of(born))
        if key not in self._events:
            self._events[key] = self._event(tidy_text(text), tidy_text(age_group), sex, key[3])
        return self._events[key]

    def _group_of(self, born: date | None) -> str:
        """The age group of a birth date, '' where there is none."""
        if born is None:
            return ""
        if born not in self._groups:
            meet = self._known.meet
            group = group_of(scheme(meet.age_scheme), born, self._known.age_day, meet_date=meet.date)
            self._groups[born] = group.key if group else ""
        return self._groups[born]

    def _school(self, code: str, name: str) -> FoundSchool:
        known = self._known
        by_name = known.school_by_name.get(folded(name)) if name else None
        column = self._columns["code" if code else "school"]
        if not code and not name:
            return None, (Reason(Weight.REFUSAL, _("the school is missing."), self._columns["code"]),)
        if not code:
            if by_name is not None:
                return by_name, ()
            return None, (Reason(Weight.REFUSAL, self._unknown_name(name), column),)
        school = known.school_by_code.get(code.casefold())
        if school is None:
            return None, (Reason(Weight.REFUSAL, self._unknown_code(code, name, by_name), column),)
        if not name or folded(name) == folded(school.name):
            return school, ()
        says = {"code": school.code, "known": school.name, "name": name}
        if by_name is not None:
            says["other"] = by_name.code
            clash = _(
                'the code %(code)s is %(known)s, but the line says "%(name)s", which is %(other)s. Correct one of them.'
            )
            return None, (Reason(Weight.REFUSAL, clash % says, column),)
        differs = _('"%(name)s" is known here as %(known)s (%(code)s).')
        return school, (Reason(Weight.ADVICE, differs % says, self._columns["school"]),)

    def _unknown_code(self, code: str, name: str, by_name: KnownSchool | None) -> str:
        school = by_name or self._like(name)
        if school is None and not name:
            near = difflib.get_close_matches(code.upper(), [s.code for s in self._known.schools], 1, 0.6)
            school = next((s for s in self._known.schools if s.code in near), None)
        if school is not None:
            return _('"%(code)s" is no school code here; %(name)s is %(suggestion)s.') % {
                "code": code,
                "name": school.name,
                "suggestion": school.code,
            }
        if name and len(name) <= LONGEST_SCHOOL and CODE.fullmatch(code.upper()):
            self.new_schools.setdefault(code.upper(), NewSchool(code.upper(), name))
        return _('"%(code)s" is no school code here. Add the school first, or correct the code.') % {"code": code}

    def _unknown_name(self, name: str) -> str:
        school = self._like(name)
        if school is None:
            self._offer(name)
            return _('no school here is called "%(name)s". Add the school first, or correct the name.') % {"name": name}
        return _('no school here is called "%(name)s"; perhaps %(known)s (%(code)s).') % {
            "name": name,
            "known": school.name,
            "code": school.code,
        }

    def _offer(self, name: str) -> None:
        """Offer a school that has no code under one made of its name."""
        if len(name) > LONGEST_SCHOOL:
            return
        offered = {folded(school.name): school for school in self.new_schools.values()}
        if folded(name) in offered:
            return
        near = difflib.get_close_matches(folded(name), offered, 1, 0.8)
        code = made_code(name, {*self._known.school_by_code, *(code.casefold() for code in self.new_schools)})
        self.new_schools[code] = NewSchool(code, name, like=offered[near[0]].name if near else "")

    def _like(self, name: str) -> KnownSchool | None:
        near = difflib.get_close_matches(folded(name), self._known.school_by_name, 1, 0.8) if name else []
        return self._known.school_by_name[near[0]] if near else None

    def _event(self, text: str, age_group: str, sex: str, own_group: str) -> FoundEvent:
        column = self._columns["event"]
        if not text:
            return None, (Reason(Weight.REFUSAL, _("the event is missing."), column),)
        event = self._known.event_by_name.get(folded(text))
        if event is not None:
            return event, ()
        said = parse_event_name(text)
        if age_group and not said.age_group:
            said = EventName(parse_event_name(age_group).age_group, said.category, said.discipline)
        fitting = [event for event in self._known.events.values() if _fits(said, event.parts)]
        if len(fitting) > 1 and not said.category:
            of_sex = [event for event in fitting if event.parts.category == CATEGORY_OF.get(sex)]
            fitting = of_sex or fitting
        if len(fitting) == 1 and said.discipline:
            return fitting[0], ()
        of_age = [event for event in fitting if event.parts.age_group.casefold() == own_group.casefold()]
        if len(of_age) == 1 and said.discipline and not said.age_group:
            says = _('"%(text)s" is taken as %(event)s, by the date of birth.')
            return of_age[0], (Reason(Weight.ADVICE, says % {"text": text, "event": of_age[0].name}, column),)
        names = self._nearest(text, said) if not fitting else [event.name for event in fitting[:4]]
        if fitting:
            says = _('"%(text)s" may be several events: %(names)s. Say which.')
        elif names:
            says = _('this meet holds no "%(text)s"; nearest are: %(names)s.')
        else:
            says = _('this meet holds no "%(text)s".')
        return None, (Reason(Weight.REFUSAL, says % {"text": text, "names": ", ".join(names)}, column),)

    def _nearest(self, text: str, said: EventName) -> list[str]:
        """Events that agree in most of the three parts, in the order of the programme, then those spelt alike."""
        events = sorted(self._known.events.values(), key=lambda event: -_agreement(said, event.parts))
        agreeing = [event.name for event in events if _agreement(said, event.parts) >= 2]
        by_spelling = {event.name.casefold(): event.name for event in self._known.events.values()}
        alike = difflib.get_close_matches(text.casefold(), by_spelling, 3, 0.6)
        return list(dict.fromkeys([*agreeing, *(by_spelling[name] for name in alike)]))[:3]


def made_code(name: str, taken: Collection[str]) -> str:
    """A code of a few letters of a school's name; `taken`: the codes in use, in small letters."""
    letters = re.sub(r"[^A-Z]", "", folded(name).upper())[:3].ljust(2, "X")
    code, number = letters, 1
    while code.casefold() in taken:
        number += 1
        code = f"{letters}{number}"
    return code


def _agreement(said: EventName, parts: EventName) -> int:
    return sum(
        bool(one) and one.casefold() == other.casefold()
        for one, other in (
            (said.age_group, parts.age_group),
            (said.category, parts.category),
            (said.discipline, parts.discipline),
        )
    )


def _fits(said: EventName, parts: EventName) -> bool:
    return not said.rest and (
        (not said.age_group or said.age_group.casefold() == parts.age_group.casefold())
        and (not said.category or said.category == parts.category)
        and (not said.discipline or said.discipline == parts.discipline)
    )
