"""`export_site MEET DIR`: the public results of a meet as plain files."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from tqdm import tqdm

from meets.management.plain import PlainCommand
from meets.publishing.site import export_site


class Command(PlainCommand):
    help = (
        "Writes what is published of a meet into a folder, as pages, PDF, CSV and JSON with relative links: "
        "for any web host. Files of the same name are replaced."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("meet", metavar="MEET", help="the short name of the meet")
        parser.add_argument("dir", metavar="DIR", help="the folder to write into; it is made if there is none")

    def handle(self, **options: Any) -> None:
        meet, folder = self.meet_called(options["meet"]), Path(options["dir"])
        if not meet.is_public:
            self.refuse(f"MEET: {meet.slug!r} is not shown to the public; expected one that is (see its settings)")
        with tqdm(desc="Writing files", unit=" files") as bar:

            def step(done: int, total: int) -> None:
                bar.total = total
                bar.update(done - bar.n)

            try:
                written = export_site(meet, folder, step)
            except OSError as problem:
                self.refuse(f"DIR: {folder}: {problem.strerror or problem}; expected a folder that can be written to")
        self.put(f"{len(written)} files in {folder}; begin at {folder / 'index.html'}\n")
