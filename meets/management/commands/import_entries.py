"""`import_entries MEET FILE`: check an entry file line by line and store its accepted lines in one transaction."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser, BooleanOptionalAction
from typing import Any

from django.db import DatabaseError
from django.utils import timezone
from tqdm import tqdm

from athletes.reading.table import Table, Unreadable
from meets.entries import report
from meets.entries.actions import Imported, Refused, assign_bibs, import_entries
from meets.entries.checking import check_table
from meets.entries.outcome import STORABLE, CheckedFile, Verdict
from meets.management.plain import PlainCommand
from meets.models import Meet
from scoring.marks import Unit

TO_DECIDE = 1
STORABLE_OR_THERE = {*STORABLE, Verdict.REPEAT}


class Command(PlainCommand):
    help = (
        "Checks an entry file for a meet and stores the accepted lines in one transaction; every line is reported. "
        "Lines asked about, and late entries, are stored with --accept-warnings only. Ends with 0 when nothing is left "
        "to decide, with 1 when it is or when no line could be stored, with 2 when the file or an option is wrong."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("meet", metavar="MEET", help="the meet's short name, as in its addresses")
        parser.add_argument("file", metavar="FILE", help="the entry file, CSV or XLSX")
        parser.add_argument("--dry-run", action="store_true", help="check only, store nothing")
        parser.add_argument(
            "--accept-warnings",
            action="store_true",
            help="your consent: store the lines asked about too, and entries after the deadline",
        )
        parser.add_argument("--format", choices=("table", "json"), default="table")
        parser.add_argument("--bibs", action=BooleanOptionalAction, default=True, help="give bibs after storing")

    def handle(self, *, meet: str, file: str, format: str, bibs: bool, **options: Any) -> None:
        found = self.meet_called(meet)
        table = self.read_entry_file(file)
        now = timezone.now()
        checked = self.checked(table, found, now)
        counts = checked.counts()
        consent = options["accept_warnings"]
        imported = None
        if not options["dry_run"] and (consent or not checked.late):
            imported = self.store(found, checked, consent, now)
            if bibs:
                assign_bibs(meet=found)
        lines = imported.lines if imported else None
        if format == "json":
            plain = report.plain(checked, Unit(found.unit), lines)
            self.put(json.dumps({"meet": found.slug, **plain}, ensure_ascii=False, indent=2))
        else:
            self.put(report.table_text(checked))
            self.put(self.outcome(imported, checked, dry_run=options["dry_run"], consent=consent))
        undecided = (counts[Verdict.ASKED] or checked.late) and not (imported and consent)
        nothing_fits = counts[Verdict.REFUSED] and not (STORABLE_OR_THERE & {v for v, n in counts.items() if n})
        if undecided or nothing_fits:
            raise SystemExit(TO_DECIDE)

    def checked(self, table: Table, meet: Meet, now: Any) -> CheckedFile:
        with tqdm(total=len(table.lines), unit="line", desc=table.name, file=sys.stderr, disable=None) as bar:
            try:
                return check_table(table, meet, now=now, step=lambda done, _all: bar.update(done - bar.n))
            except Unreadable as problem:
                self.refuse(str(problem))

    def store(self, meet: Meet, checked: CheckedFile, accept_warnings: bool, now: Any) -> Imported:
        try:
            return import_entries(
                meet=meet, checked=checked, accept_warnings=accept_warnings, by="import_entries", now=now
            )
        except Refused as problem:
            self.refuse(f"{checked.name}: {problem}")
        except DatabaseError as problem:
            self.refuse(f"the database cannot be written to ({problem}); nothing is stored")

    def outcome(self, imported: Imported | None, checked: CheckedFile, *, dry_run: bool, consent: bool) -> str:
        if dry_run:
            return "Nothing is stored: this was a check only."
        if imported is None:
            return "Entries are closed. Nothing is stored. To take them late, use --accept-warnings."
        left = checked.counts()[Verdict.ASKED]
        asked = f" Left out: {left} that are yours to decide (--accept-warnings)." if left and not consent else ""
        return f"{imported.stored} entries stored, {imported.athletes_added} athletes new.{asked}"
