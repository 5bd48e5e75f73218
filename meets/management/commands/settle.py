"""`settle FILE`: places of a typed-up series table, without a database."""

from __future__ import annotations

import csv
import io
import json
from argparse import ArgumentParser
from collections.abc import Sequence
from typing import Any

from athletes.reading.writing import safe_cell
from meets.management.plain import PlainCommand, one_line
from meets.management.series_file import read_bytes, read_table
from scoring.errors import RuleError
from scoring.marks import show_mark
from scoring.rulesets import RULE_SETS, rule_set
from scoring.series_table import unknown_columns
from scoring.settle import Settled, settle

HEADINGS = ("place", "code", "best", "best_legal", "status", "decided_by")
TABLE_HEADINGS = ("Place", "Code", "Best", "Best legal", "Status", "Decided by")
ALIGNED_RIGHT = {0, 2, 3}
LONGEST_SHOWN = 60


class Command(PlainCommand):
    help = (
        "Settles the places of a typed-up series table. FILE is CSV with the columns code, t1, t2 ... "
        "(metres, x, -, r or o) and, if you like, group, place, w1, w2 ... (winds), best and note; "
        "- reads the standard input. Needs no database."
    )
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", metavar="FILE", help="the table, or - for the standard input")
        names = ", ".join(RULE_SETS)
        parser.add_argument("--rules", default="international", metavar="NAME", help=f"one of {names}")
        parser.add_argument("--format", choices=("table", "csv", "json"), default="table")

    def handle(self, *, file: str, **options: Any) -> None:
        name = "standard input" if file == "-" else file
        try:
            rules = rule_set(options["rules"])
        except RuleError as problem:
            self.refuse(f"--rules: {problem.value!r} {problem.says}; expected {problem.expected}")
        try:
            names, rows = read_table(read_bytes(file))
            settled = settle(rows, rules)
        except OSError as problem:
            self.refuse(f"{name}: {problem.strerror or problem}; expected a CSV file that can be read")
        except RuleError as problem:
            if isinstance(problem.value, str) and len(problem.value) > LONGEST_SHOWN:
                problem.value = f"{problem.value[:LONGEST_SHOWN]}…"
            self.refuse(f"{name}, {problem}" if problem.where else f"{name}: {problem}")
        for column in unknown_columns(names):
            self.warn(f"{name}, column {column}: not known, left out")
        for warning in settled.warnings:
            self.warn(f"{name}, {warning}")
        if settled.unsaid:
            self.warn(f"{name}: {settled.unsaid} more of these")
        write = {"table": as_table, "csv": as_csv, "json": as_json}[options["format"]]
        self.put(write(settled.rows))

    def warn(self, says: str) -> None:
        self.stderr.write(one_line(f"warning: {says}"), style_func=str)


def metres(mark: int | None) -> str | None:
    return None if mark is None else show_mark(mark)


def as_json(rows: Sequence[Settled]) -> str:
    listed = [
        {
            "code": row.code,
            "place": row.place,
            "best": metres(row.best),
            "best_legal": metres(row.best_legal),
            "status": row.status,
            "decided_by": row.decided_by,
        }
        for row in rows
    ]
    return json.dumps({"rows": listed}, indent=2) + "\n"


def cells_of(row: Settled) -> list[str]:
    place = "" if row.place is None else str(row.place)
    return [
        place, row.code, metres(row.best) or "", metres(row.best_legal) or "", row.status, row.decided_by,
    ]  # fmt: skip


def as_csv(rows: Sequence[Settled]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEADINGS)
    writer.writerows([safe_cell(cell) for cell in cells_of(row)] for row in rows)
    return out.getvalue()


def as_table(rows: Sequence[Settled]) -> str:
    table = [list(TABLE_HEADINGS), *(cells_of(row) for row in rows)]
    widths = [max(len(line[column]) for line in table) for column in range(len(TABLE_HEADINGS))]
    shown = [
        "  ".join(
            cell.rjust(width) if column in ALIGNED_RIGHT else cell.ljust(width)
            for column, (cell, width) in enumerate(zip(line, widths, strict=True))
        ).rstrip()
        for line in table
    ]
    return "\n".join(shown) + "\n"
