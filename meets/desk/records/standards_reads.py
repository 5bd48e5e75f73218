"""What the pages of standards and of the next meet show."""

import json
from collections.abc import Sequence
from dataclasses import replace

from django.utils.translation import gettext as _

from athletes.models import Discipline
from meets.models import Entry, Event, Meet, NextMeet, Standard
from meets.publishing.reads import latest
from meets.records.reads import GoingOn, qualifiers
from meets.records.standard_lines import Column
from meets.records.words import kind_words
from scoring.age_schemes import SCHEMES
from scoring.marks import Unit, mark_in_quarter_inches, show_mark

EXAMPLE_CM = {Discipline.LONG_JUMP: 410, Discipline.TRIPLE_JUMP: 900}


def standards_of_meet(meet: Meet) -> list[Standard]:
    return list(meet.standards.all())


def age_groups_of(meet: Meet, known: Sequence[Standard]) -> list[tuple[str, str]]:
    """The age groups of the meet's scheme, and those that a standard has from before another one was chosen."""
    groups = [(group.key, group.key) for group in SCHEMES[meet.age_scheme].groups]
    older = {one.age_group for one in known if one.age_group} - {key for key, _label in groups}
    return groups + [(key, key) for key in sorted(older)]


def cell(standard: Standard, column: Column, meet: Meet) -> str:
    value = getattr(standard, column)
    return show_mark(value, Unit(meet.unit)) if column == Column.MARK else str(value)


def words_of(standard: Standard) -> str:
    """`Bronze, U15 girls long jump`."""
    return f"{standard.name}, {kind_words(standard.discipline, standard.category, standard.age_group)}"


def example_of(meet: Meet) -> list[tuple[str, str, str, str, str]]:
    """Lines of a file of standards as this meet could send them: its own jumps, groups and categories."""
    held = [(e.discipline, e.category, e.age_group) for e in meet.events.all()] or [("LJ", Event.Category.GIRLS, "")]
    groups = {group.key for group in SCHEMES[meet.age_scheme].groups}
    # A group by a name of the meet's own is in no scheme, and no file can name it.
    discipline, category, group = next((one for one in held if one[2] in groups), (*held[0][:2], ""))
    other = next((one[0] for one in held if one[0] != discipline), discipline)
    lines = [
        (_("Bronze"), discipline, category, group, 0),
        (_("Silver"), discipline, category, group, 30),
        (_("Bronze"), other, "", "", 0 if other != discipline else -20),
    ]
    return [
        (
            name,
            str(Discipline(jump).label),
            str(Event.Category(whom).label) if whom else "",
            age,
            _example_mark(EXAMPLE_CM[Discipline(jump)] + more, Unit(meet.unit)),
        )
        for name, jump, whom, age, more in lines
    ]


def _example_mark(cm: int, unit: Unit) -> str:
    """Whole inches where marks are in feet."""
    return show_mark(cm if unit is Unit.CM else mark_in_quarter_inches(cm) // 4 * 4, unit)


def standard_names(meet: Meet) -> list[tuple[str, str]]:
    names = dict.fromkeys(meet.standards.values_list("name", flat=True))
    return [("", _("none")), *((name, name) for name in names)]


def next_meet_of(meet: Meet) -> NextMeet | None:
    return NextMeet.objects.filter(meet=meet).first()


def going_on(meet: Meet) -> GoingOn | None:
    """Who goes on by the results that are published, with whole names."""
    results = [json.loads(found.document) for event, found in latest(meet).items() if event is not None]
    going = qualifiers(meet, results)
    if going is None:
        return None
    entries = Entry.objects.filter(event__meet=meet).select_related("athlete")
    names = {str(entry.pk): str(entry.athlete) for entry in entries}
    schools = {
        code: tuple(replace(one, name=names.get(one.entry, one.name)) for one in own)
        for code, own in going.schools.items()
    }
    return replace(going, schools=schools)
