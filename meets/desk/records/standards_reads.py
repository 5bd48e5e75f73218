"""What the pages of standards and of the next meet show."""

import json
from collections.abc import Sequence
from dataclasses import replace

from django.utils.translation import gettext as _

from meets.models import Entry, Meet, NextMeet, Standard
from meets.publishing.reads import latest
from meets.records.reads import GoingOn, qualifiers
from meets.records.standard_lines import Column
from meets.records.words import kind_words
from scoring.age_schemes import SCHEMES
from scoring.marks import Unit, show_mark


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
