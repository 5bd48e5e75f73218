"""Import of 5,000 entries, from the bytes of the file to stored rows, against csv + full_clean + save of each row.

Ours reads, matches columns, checks every line against the meet (schools, events, ages, limits, repeats, reach) and
stores all in one transaction. Both in a process of their own, on a new SQLite file with the product's settings.
"""

import csv
import io
import os
import statistics
import subprocess
import sys
import tempfile
import time
from datetime import UTC, date, datetime
from itertools import product

from tests.bench.clock import SMOKE, say

HEAD = "School code,School,First name,Surname,Date of birth,Sex,Event,String,Best,Board".split(",")
GROUPS = {"U13": 2014, "U15": 2012, "U17": 2010}
EVENTS = [
    (f"{group} {who} {jump} Jump", group, who[0], jump)
    for group, who, jump in product(GROUPS, ("Girls", "Boys"), ("Long", "Triple"))
    if (group, jump) != ("U13", "Triple")
]
LETTERS = str.maketrans("0123456789", "aeioulnrst")
SCHOOLS = 20 if SMOKE else 250
NOW = datetime(2026, 6, 20, 9, 0, tzinfo=UTC)


def entry_file() -> bytes:
    """Two entries of every school in every event, nobody in two."""
    written = io.StringIO()
    writer = csv.writer(written)
    writer.writerow(HEAD)
    for school, (number, (event, group, sex, jump)), string in product(range(SCHOOLS), enumerate(EVENTS), "AB"):
        i = (school * len(EVENTS) + number) * 2 + (string == "B")
        born = f"{GROUPS[group]}-{i % 8 + 1:02}-{i % 28 + 1:02}"
        best, board = (f"{4 + i % 99 / 100:.2f}", "") if jump == "Long" else (f"{10 + i % 99 / 100:.2f}", "7 m")
        name = [f"G{i % 300:03}".translate(LETTERS), f"F{i:04}".translate(LETTERS)]
        writer.writerow(
            [f"S{school}", f"School {school}", *name, born, "F" if sex == "G" else "M", event, string, best, board]
        )
    return written.getvalue().encode()


def own() -> None:
    """Print seconds of the median of three imports."""
    import django

    django.setup()
    from django.core.management import call_command

    from athletes.models import Athlete
    from athletes.reading.opening import read_table
    from meets.entries.actions import create_meet, import_entries
    from meets.entries.programme import programme_of
    from meets.entries.reads import check_upload
    from meets.models import Entry
    from scoring.age_schemes import scheme

    call_command("migrate", verbosity=0)
    file = entry_file()
    meet = create_meet(
        slug="bench",
        name="Bench",
        date=date(2026, 7, 4),
        age_scheme="uk-before-2026",
        rule_set="international",
        programme=programme_of(read_table("entries.csv", file), scheme("uk-before-2026")),
        by="bench",
        now=NOW,
    ).meet
    taken = []
    for _ in range(3):
        Entry.objects.all().delete()
        Athlete.objects.all().delete()
        start = time.perf_counter()
        checked = check_upload(meet, "entries.csv", file, now=NOW)
        stored = import_entries(meet=meet, checked=checked, by="bench", now=NOW).stored
        taken.append(time.perf_counter() - start)
        assert stored == Entry.objects.count() == len(EVENTS) * 2 * SCHOOLS
    sys.stdout.write(f"{statistics.median(taken)}\n")


def seconds(*program: str, **environment: str) -> float:
    ran = subprocess.run(
        [sys.executable, "-m", *program],
        env={**os.environ, **environment},
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    )
    return float(ran.stdout)


def main() -> None:
    lines = len(EVENTS) * 2 * SCHOOLS
    with tempfile.TemporaryDirectory() as folder:
        smoke = ["--smoke"] if SMOKE else []
        ours = seconds(
            "tests.bench.bench_import",
            "--own",
            *smoke,
            NEAREST_BREAK_DATA=folder,
            DATABASE_URL=f"sqlite:///{folder}/bench.sqlite3",
            DJANGO_SETTINGS_MODULE="meets.settings",
        )
    say(f"import of {lines:,} entries, checked", ours, seconds("tests.bench.floor_import", str(lines)), limit=3)


if __name__ == "__main__":
    own() if "--own" in sys.argv else main()
