"""What a command takes of the machine at its worst, measured on the process from outside."""

import csv
import os
import random
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import openpyxl
import pytest

from athletes.reading.opening import MOST_LINES

ROOT = Path(__file__).resolve().parents[3]
DATA = ROOT / "tests" / "meets" / "entries" / "data"
MOST_MB = 200

pytestmark = [
    pytest.mark.slow,
    pytest.mark.once,
    pytest.mark.skipif(not hasattr(os, "wait4"), reason="this system does not say what one process took"),
]


MEASURED = """
import os, subprocess, sys
process = subprocess.Popen(sys.argv[1:], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
_pid, status, usage = os.wait4(process.pid, 0)
print(os.waitstatus_to_exitcode(status), usage.ru_maxrss)
"""
"""A process begins with the most memory that its parent ever held, so the parent has to be a small one."""


def megabytes_of(*arguments: object, **environment: str) -> tuple[int, float]:
    """Exit code and the most memory that the command ever held."""
    command = [sys.executable, str(ROOT / "manage.py"), *map(str, arguments)]
    ran = subprocess.run(
        [sys.executable, "-S", "-c", MEASURED, *command],
        env={**os.environ, **environment}, capture_output=True, text=True, check=True,
    )  # fmt: skip
    code, most = map(int, ran.stdout.split())
    return code, most / (1024 * 1024 if sys.platform == "darwin" else 1024)


def series(path: Path, *, trials: int, winds: int, lines: int, fails: bool = False) -> Path:
    lot = random.Random(1)
    with path.open("w", newline="") as file:
        writer = csv.writer(file)
        names = [f"t{n + 1}" for n in range(trials)] + [f"w{n + 1}" for n in range(winds)]
        writer.writerow(["code", *names])
        for n in range(lines):
            marks = ["x" if fails else f"{lot.randrange(3, 8)}.{lot.randrange(100):02d}" for _ in range(trials)]
            writer.writerow([f"A{n}", *marks, *(f"{lot.randrange(-30, 30) / 10:+.1f}" for _ in range(winds))])
    return path


@pytest.mark.parametrize(
    "shape",
    [
        {"trials": 6, "winds": 6, "lines": 20_000},
        {"trials": 99, "winds": 0, "lines": 9_000},
        {"trials": 99, "winds": 0, "lines": 20_000, "fails": True},
        {"trials": 45, "winds": 45, "lines": 9_000},
    ],
)
def test_settling_the_longest_tables(tmp_path, shape):
    path = series(tmp_path / "series.csv", **shape)
    code, megabytes = megabytes_of("settle", path, "--format", "json")
    assert code == 0
    assert megabytes < MOST_MB


# So many of a school may be entered for an event.
OF_A_SCHOOL = 2
BORN = {"U13": 2014, "U15": 2012, "U17": 2010}
HEADINGS = ["School code", "School", "First name", "Surname", "Date of birth", "Sex", "Event", "Best"]


def letters(number: int) -> str:
    return "".join(chr(ord("a") + int(digit)) for digit in str(number))


def entry_rows(lines: int) -> Iterator[list[str]]:
    """Everybody once, in one of six events; as many schools as that takes."""
    for n in range(lines):
        age, sex = list(BORN)[n % 3], "FM"[n // 3 % 2]
        event = f"{age} {'Girls' if sex == 'F' else 'Boys'} Long Jump"
        school = f"S{n // (6 * OF_A_SCHOOL)}"
        born = f"{BORN[age]}-{1 + n % 12:02}-{1 + n % 28:02}"
        best = f"{3 + n % 3}.{n % 100:02}"
        yield [school, f"School {school}", f"Ode{letters(n)}", f"Amble{letters(n % 997)}", born, sex, event, best]


def workbook(path: Path, lines: int) -> Path:
    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet("Entries")
    sheet.append(HEADINGS)
    for row in entry_rows(lines):
        sheet.append(row)
    book.save(path)
    return path


def comma_file(path: Path, lines: int) -> Path:
    with path.open("w", newline="") as file:
        csv.writer(file).writerows([HEADINGS, *entry_rows(lines)])
    return path


@pytest.mark.parametrize(
    ("write", "name", "format"), [(comma_file, "entries.csv", "table"), (workbook, "entries.xlsx", "json")]
)
def test_storing_the_longest_entry_files(tmp_path, write, name, format):
    """A database of its own in a file, as at a desk; the meet is set up from the same file."""
    place = {"DATABASE_URL": f"sqlite:///{tmp_path / 'meet.sqlite3'}", "NEAREST_BREAK_DATA": str(tmp_path)}
    assert megabytes_of("migrate", **place)[0] == 0
    path = write(tmp_path / name, MOST_LINES)
    set_up = ("--date", "2026-07-04", "--ages", "uk-before-2026", "--from", path)
    assert megabytes_of("create_meet", "spring", *set_up, **place)[0] == 0
    code, megabytes = megabytes_of("import_entries", "spring", path, "--format", format, "--accept-warnings", **place)
    with closing(sqlite3.connect(tmp_path / "meet.sqlite3")) as database:
        [[stored]] = database.execute("SELECT count(*) FROM meets_entry")
    assert (code, stored) == (0, MOST_LINES)
    assert megabytes < MOST_MB
