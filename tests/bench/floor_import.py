"""Floor of an import: rows x 8 columns of CSV into a new SQLite file through Django, full_clean and save for each row.

One transaction, journal and durability as the product has them. Run as a program, since it sets up a Django of its
own: `python -m tests.bench.floor_import ROWS` prints seconds of the median of three.
"""

import csv
import datetime
import io
import statistics
import sys
import tempfile
import time
from pathlib import Path

HEAD = ["bib", "family", "given", "school", "sex", "grade", "born", "seed_cm"]


def text(rows: int) -> str:
    """The file: invented names, all lines different."""
    written = io.StringIO()
    writer = csv.writer(written)
    writer.writerow(HEAD)
    for i in range(rows):
        born = f"2013-{i % 12 + 1:02}-{i % 28 + 1:02}"
        writer.writerow(
            [i + 1, f"Family{i}", f"Given{i % 300}", f"School {i % 40}", "FM"[i % 2], 7 + i % 4, born, 380 + i % 200]
        )
    return written.getvalue()


def set_up(folder: Path):
    """A Django with one model in a new database."""
    import django
    from django.conf import settings

    pragmas = "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;"
    options = {"transaction_mode": "IMMEDIATE", "timeout": 10, "init_command": pragmas}
    database = {"ENGINE": "django.db.backends.sqlite3", "NAME": folder / "floor.sqlite3", "OPTIONS": options}
    settings.configure(USE_TZ=True, INSTALLED_APPS=[], DATABASES={"default": database})
    django.setup()
    from django.db import connection, models

    class Line(models.Model):
        bib = models.IntegerField(unique=True)
        family = models.CharField(max_length=60)
        given = models.CharField(max_length=60)
        school = models.CharField(max_length=80)
        sex = models.CharField(max_length=1, choices=[("F", "F"), ("M", "M")])
        grade = models.PositiveSmallIntegerField()
        born = models.DateField()
        seed_cm = models.PositiveIntegerField(null=True)

        class Meta:
            app_label = "floor"

        def __str__(self):
            return str(self.bib)

    with connection.schema_editor() as editor:
        editor.create_model(Line)
    return Line


def store(model, file: str) -> None:
    from django.db import transaction

    reader = csv.reader(io.StringIO(file))
    next(reader)
    with transaction.atomic():
        for row in reader:
            values = dict(zip(HEAD, row, strict=True))
            values["born"] = datetime.date.fromisoformat(values["born"])
            line = model(**values)
            line.full_clean()
            line.save()


def main() -> None:
    rows = int(sys.argv[1])
    file = text(rows)
    with tempfile.TemporaryDirectory() as folder:
        model = set_up(Path(folder))
        taken = []
        for _ in range(3):
            model.objects.all().delete()
            start = time.perf_counter()
            store(model, file)
            taken.append(time.perf_counter() - start)
            assert model.objects.count() == rows
    sys.stdout.write(f"{statistics.median(taken)}\n")


if __name__ == "__main__":
    main()
