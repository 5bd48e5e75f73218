"""Limits of a school in an event and of an athlete in a meet; who is the same person; what is held already."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

from django.utils.translation import gettext as _

from athletes.reading.names import folded
from meets.entries.known import KnownAthlete, KnownEntry, KnownEvent

# Two birth dates of one name and school this close are probably one athlete, typed wrong once.
NEAR_DAYS = 31
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(slots=True)
class Person:
    """An athlete, known before or first met on a line of the file."""

    pk: int | None
    school_pk: int
    first_name: str
    last_name: str
    born: date | None
    sex: str
    not_public: bool = False
    line: int | None = None
    standing: dict[int, int | None] = field(default_factory=dict)
    withdrawn: set[int] = field(default_factory=set)
    seeds: dict[int, int | None] = field(default_factory=dict)

    @property
    def name(self) -> str:
        return f"{self.first_name} {self.last_name}"


class People:
    """Everybody of the schools in question, found by school, name and birth date."""

    def __init__(self, athletes: Iterable[KnownAthlete], entries: Iterable[KnownEntry]) -> None:
        self._by_key: dict[tuple[int, str, str, date | None], Person] = {}
        self._by_name: defaultdict[tuple[int, frozenset[str]], list[Person]] = defaultdict(list)
        self._by_birth: defaultdict[tuple[str, str, date | None], list[Person]] = defaultdict(list)
        by_pk: dict[int, Person] = {}
        for athlete in athletes:
            by_pk[athlete.pk] = self.add(Person(*(getattr(athlete, name) for name in athlete.__slots__)))
        for entry in entries:
            if (person := by_pk.get(entry.athlete_pk)) is None:
                continue
            if entry.withdrawn:
                person.withdrawn.add(entry.event_pk)
            else:
                person.standing[entry.event_pk] = None
                person.seeds[entry.event_pk] = entry.seed_mark

    def add(self, person: Person) -> Person:
        first, last = folded(person.first_name), folded(person.last_name)
        self._by_key.setdefault((person.school_pk, first, last, person.born), person)
        self._by_name[person.school_pk, frozenset((first, last))].append(person)
        self._by_birth[first, last, person.born].append(person)
        return person

    def find(self, school_pk: int, first_name: str, last_name: str, born: date) -> Person | None:
        return self._by_key.get((school_pk, folded(first_name), folded(last_name), born))

    def elsewhere(self, person: Person) -> Person | None:
        """Somebody of the same name and birth date who is entered by another school."""
        same = self._by_birth[folded(person.first_name), folded(person.last_name), person.born]
        return next((other for other in same if other.school_pk != person.school_pk and other.standing), None)

    def probably(self, school_pk: int, first_name: str, last_name: str, born: date) -> Person | None:
        """Somebody of the same name (the two names may have changed places) with nearly the same birth date, or with
        none known."""
        names = frozenset((folded(first_name), folded(last_name)))
        return next(
            (other for other in self._by_name[school_pk, names] if other.born is None or near(other.born, born)), None
        )


def near(one: date, other: date) -> bool:
    """Whether two birth dates differ by a slip: some days, one part alone, or day and month changed over."""
    if abs((one - other).days) <= NEAR_DAYS:
        return True
    parts, others = (one.year, one.month, one.day), (other.year, other.month, other.day)
    swapped = (one.year, one.day, one.month) == others
    return swapped or sum(a != b for a, b in zip(parts, others, strict=True)) == 1


class Strings:
    """Which scoring entries a school has in an event. A line that is not accepted still holds its string."""

    def __init__(self, entries: Iterable[KnownEntry]) -> None:
        # Place of each holder: the number of a line, or None for an entry that is stored already.
        self._letters: defaultdict[tuple[int, int], dict[str, int | None]] = defaultdict(dict)
        self._unnamed: defaultdict[tuple[int, int], list[int | None]] = defaultdict(list)
        for entry in entries:
            if not entry.withdrawn and not entry.guest:
                self._hold((entry.school_pk, entry.event_pk), entry.string, None)

    def _hold(self, key: tuple[int, int], string: str, line: int | None) -> None:
        if string:
            self._letters[key].setdefault(string, line)
        else:
            self._unnamed[key].append(line)

    def take(self, school_pk: int, event: KnownEvent, string: str, line: int | None) -> str:
        """Hold a string for a line; a sentence if it cannot be had, and '' if it can."""
        key, limit = (school_pk, event.pk), event.rules.entries_per_school
        held = self._letters[key]
        if string in held:
            return taken(string, held[string])
        if limit and string and string not in LETTERS[:limit]:
            return beyond(string, limit)
        if limit and len(held) + len(self._unnamed[key]) >= limit:
            says = _("the school has its %(limit)s scoring entries in this event already (a rule under Settings).")
            return says % {"limit": limit}
        self._hold(key, string, line)
        return ""


def taken(string: str, line: int | None) -> str:
    if line is None:
        return _("string %(string)s of this school in this event is taken by an entry stored before.") % {
            "string": string
        }
    return _("string %(string)s of this school in this event is taken by line %(line)s.") % {
        "string": string,
        "line": line,
    }


def beyond(string: str, limit: int) -> str:
    says = _(
        "string %(string)s is over the limit: by a rule under Settings a school has %(limit)s scoring entries "
        "in an event (%(letters)s)."
    )
    return says % {"string": string, "limit": limit, "letters": ", ".join(LETTERS[:limit])}


def too_many_events(event: KnownEvent, others: list[KnownEvent]) -> str:
    """A sentence if one event more is over the athlete's limit, else ''."""
    limit = event.rules.events_per_athlete
    if not limit or len(others) < limit:
        return ""
    return _("an event too many: the limit is %(limit)s for an athlete, who is entered in %(others)s already.") % {
        "limit": limit,
        "others": ", ".join(other.name for other in others),
    }


def two_age_groups(event: KnownEvent, others: list[KnownEvent]) -> str:
    """A sentence if the athlete is in another age group of the same discipline, else ''."""
    for other in others:
        if other.parts.discipline == event.parts.discipline and other.parts.age_group != event.parts.age_group:
            return _("two age groups of one discipline: the athlete is entered in %(other)s.") % {"other": other.name}
    return ""
