"""`sheets MEET --out DIR`: every sheet of a meet as PDF."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.utils import timezone
from django.utils.translation import ngettext
from tqdm import tqdm

from meets.management.plain import PlainCommand
from meets.sheets.actions import write_sheets
from meets.sheets.reads import papers


class Command(PlainCommand):
    help = "Writes every sheet of a meet as PDF, one folder for each event: start lists, field sheets, results."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("meet", metavar="MEET", help="the meet's short name, as in its addresses")
        parser.add_argument("--out", required=True, metavar="DIR", help="the folder to write into; made if missing")
        parser.add_argument("--paper", metavar="PAPER", help="A4 or letter; without it, the meet's own")

    def handle(self, *, meet: str, out: str, paper: str | None, **options: Any) -> None:
        by_name = {name.casefold(): name for name in papers()}
        if paper and paper.casefold() not in by_name:
            self.refuse(f"--paper: {paper!r} is no paper; expected {' or '.join(by_name.values())}")
        found = self.meet_called(meet)
        with tqdm(unit="sheet", desc=found.name, file=sys.stderr, disable=None) as bar:

            def progress(done: int, total: int) -> None:
                bar.total = total
                bar.update(done - bar.n)

            try:
                chosen = by_name[paper.casefold()] if paper else ""
                files = write_sheets(meet=found, out_dir=Path(out), now=timezone.now(), paper=chosen, progress=progress)
            except OSError as problem:
                self.refuse(f"--out: {out}: {problem.strerror or problem}; expected a folder that can be written to")
        says = ngettext("%(count)d file in %(out)s", "%(count)d files in %(out)s", len(files))
        self.put(says % {"count": len(files), "out": out})
