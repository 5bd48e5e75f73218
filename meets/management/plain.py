"""What commands for people share: a refusal is one line on the error stream, and a file is read within its limit."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import NoReturn

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand
from django.db import DatabaseError

from athletes.reading.opening import LARGEST_BYTES, read_table
from athletes.reading.table import Table, Unreadable
from meets.entries.columns import looks_like_headings
from meets.models import Meet

MOST_NAMED = 10


def one_line(text: str) -> str:
    return " ".join(text.split())


class PlainCommand(BaseCommand):
    """Ends with 2 and one line that names what was wrong, where, and what is expected."""

    def refuse(self, says: str) -> NoReturn:
        self.stderr.write(one_line(says), style_func=str)
        raise SystemExit(2)

    def put(self, text: str) -> None:
        """Print; a reader who has seen enough (`| head`) is no error, nor is a console without these letters."""
        try:
            try:
                self.stdout.write(text)
            except UnicodeEncodeError:
                self.stdout.write(text.encode("ascii", "backslashreplace").decode())
            self.stdout.flush()
        except BrokenPipeError:
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())

    def read_entry_file(self, file: str) -> Table:
        try:
            with Path(file).open("rb") as opened:
                data = opened.read(LARGEST_BYTES + 1)
            return read_table(file, data, looks_right=looks_like_headings)
        except OSError as problem:
            self.refuse(f"{file}: {problem.strerror or problem}; expected a CSV or XLSX file that can be read")
        except Unreadable as problem:
            self.refuse(str(problem))

    def meet_called(self, slug: str) -> Meet:
        slugs = self.slugs()
        if slug not in slugs:
            known = ", ".join(slugs[:MOST_NAMED]) or "none yet; make one with create_meet"
            self.refuse(f"MEET: there is no meet {slug!r}; expected one of: {known}")
        return Meet.objects.get(slug=slug)

    def slugs(self) -> list[str]:
        """The short names of all meets, the latest first."""
        try:
            return list(Meet.objects.values_list("slug", flat=True))
        except DatabaseError as problem:
            self.refuse(f"the database cannot be read ({problem}); expected its tables: run manage.py migrate first")

    def refuse_invalid(self, problem: ValidationError, options: dict[str, str]) -> NoReturn:
        """Name the option for the first wrong field."""
        field, says = next(iter(problem.message_dict.items()))
        self.refuse(f"{options.get(field, field)}: {says[0]}")
