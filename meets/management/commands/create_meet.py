"""`create_meet SLUG --date D --ages SCHEME --from FILE`: a meet with the events and schools of an entry file."""

from __future__ import annotations

import re
import shlex
from argparse import ArgumentParser
from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.db import DatabaseError
from django.utils import timezone

from athletes.reading.table import Unreadable
from meets.desk.meet.actions import TAKEN
from meets.entries.actions import create_meet
from meets.entries.programme import programme_of
from meets.entries.values import Wrong, read_date
from meets.management.plain import PlainCommand
from scoring.age_schemes import SCHEMES, NotAnAge, scheme
from scoring.errors import RuleError
from scoring.marks import Unit
from scoring.rulesets import RULE_SETS, rule_set

SLUG = re.compile(r"[A-Za-z0-9_-]{1,50}")
OPTION_OF = {"slug": "SLUG", "name": "--name", "date": "--date", "age_date": "--age-date", "events": "--from"}


class Command(PlainCommand):
    help = (
        "Makes a meet with the events and schools that an entry file names, two pits with their boards, and a session "
        "for each pit. Entries are not stored: import_entries does that."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("slug", metavar="SLUG", help="the meet's short name for addresses, for example district-27")
        parser.add_argument("--date", required=True, metavar="D", help="the day of the meet: 2027-06-12 or 12/06/2027")
        parser.add_argument("--ages", required=True, metavar="SCHEME", help=f"one of {', '.join(SCHEMES)}")
        parser.add_argument("--rules", default="international", metavar="NAME", help=f"one of {', '.join(RULE_SETS)}")
        parser.add_argument("--from", required=True, dest="file", metavar="FILE", help="an entry file, CSV or XLSX")
        parser.add_argument("--unit", default=Unit.CM.value, metavar="UNIT", help=f"{' or '.join(Unit)}")
        parser.add_argument(
            "--name", default="", metavar="NAME", help="the meet's name; without it, from the short name"
        )
        parser.add_argument("--age-date", metavar="D", help="the day on which ages are taken, if not the scheme's own")

    def handle(self, *, slug: str, file: str, **options: Any) -> None:
        self.refuse_slug(slug)
        day = self.day("--date", options["date"])
        age_date = self.day("--age-date", options["age_date"]) if options["age_date"] else None
        try:
            ages = scheme(options["ages"])
        except NotAnAge:
            self.refuse(f"--ages: {options['ages']!r} is no age scheme; expected one of {', '.join(SCHEMES)}")
        try:
            rule_set(options["rules"])
        except RuleError:
            self.refuse(f"--rules: {options['rules']!r} is no rule set; expected one of {', '.join(RULE_SETS)}")
        if options["unit"] not in list(Unit):
            self.refuse(f"--unit: {options['unit']!r} is no unit; expected {' or '.join(Unit)}")
        table = self.read_entry_file(file)
        try:
            programme = programme_of(table, ages)
            created = create_meet(
                slug=slug,
                name=options["name"] or slug.replace("-", " ").replace("_", " ").capitalize(),
                date=day,
                age_scheme=ages.key,
                rule_set=options["rules"],
                unit=Unit(options["unit"]),
                age_date=age_date,
                programme=programme,
                by="create_meet",
                now=timezone.now(),
            )
        except Unreadable as problem:
            self.refuse(str(problem))
        except ValidationError as problem:
            self.refuse_invalid(problem, OPTION_OF)
        except DatabaseError as problem:
            self.refuse(f"the database cannot be written to ({problem}); run manage.py migrate first")
        schools = created.schools_added + created.schools_known
        self.put(
            f"{created.meet.name} ({slug}): {created.events} events, {schools} schools "
            f"({created.schools_added} new), {created.sessions} pit sessions"
        )
        self.put(f"Next: import_entries {slug} {shlex.quote(file)}")

    def refuse_slug(self, slug: str) -> None:
        if not SLUG.fullmatch(slug):
            self.refuse(f"SLUG: {slug!r} is no short name; expected at most 50 letters a-z, figures and hyphens")
        if slug in TAKEN:
            self.refuse(f"SLUG: {slug!r} is a word of the desk's own addresses; expected another short name")
        if slug in self.slugs():
            self.refuse(f"SLUG: there is a meet {slug!r} already; expected another short name")

    def day(self, option: str, text: str) -> date:
        try:
            return read_date(text, this_year=timezone.localdate().year)
        except Wrong:
            self.refuse(f"{option}: {text!r} is no date; expected year-month-day, for example 2027-06-12")
