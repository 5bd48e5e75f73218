"""Athletes as everybody may see them: bib, school, and as much of the name as the meet and the athlete allow."""

from collections.abc import Iterable
from dataclasses import dataclass

from meets.models import Entry, Meet
from meets.running.public_names import public_name
from meets.running.words import year_words


@dataclass(frozen=True, slots=True)
class Person:
    """`name` is empty where only bib and school are shown; `year` is the school's, never a year of birth."""

    bib: str
    name: str
    school: str
    school_code: str
    string: str
    guest: bool
    year: str
    say_it: str

    @property
    def called(self) -> str:
        """What stands where a name would."""
        return self.name or self.school


def people_shown(entries: Iterable[Entry], meet: Meet, *, organiser: bool = False) -> dict[str, Person]:
    """By entry. An organiser sees full names and how to say them; others only where the meet shows full names."""
    found = {}
    for entry in entries:
        athlete = entry.athlete
        name = str(athlete) if organiser else public_name(athlete, meet)
        full = organiser or (bool(name) and meet.public_names == meet.PublicNames.FULL)
        found[str(entry.pk)] = Person(
            bib=entry.bib or f"#{entry.pk}",
            name=name,
            school=athlete.school.name,
            school_code=athlete.school.code,
            string=entry.string,
            guest=entry.guest,
            year=year_words(athlete.school_year) if name else "",
            say_it=athlete.say_it if full else "",
        )
    return found
