"""Peak memory of each command in a process of its own, on entry files as large as they come; at most 200 MB."""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.bench.bench_import import entry_file

LIMIT_MB = 200


def peak_mb(*command: str, folder: Path) -> float:
    """Run a command of the product to its end and say how much memory it held at most. Linux counts in KiB."""
    environment = {
        **os.environ,
        "NEAREST_BREAK_DATA": str(folder),
        "DATABASE_URL": f"sqlite:///{folder}/bench.sqlite3",
    }
    said = folder / "said"
    with said.open("wb") as everything:
        child = subprocess.Popen(
            [sys.executable, "manage.py", *command], env=environment, stdout=everything, stderr=subprocess.STDOUT
        )
        _, status, used = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode:
        sys.stdout.write(said.read_text(encoding="utf-8"))
        raise SystemExit(f"manage.py {' '.join(command)} ended with {child.returncode}")
    return used.ru_maxrss / (1024 * (1024 if sys.platform == "darwin" else 1))


def as_workbook(csv_file: bytes, path: Path) -> None:
    from openpyxl import Workbook

    book = Workbook(write_only=True)
    sheet = book.create_sheet()
    for line in csv_file.decode().splitlines():
        sheet.append(line.split(","))
    book.save(path)


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "entries.csv").write_bytes(entry_file())
        as_workbook(entry_file(), folder / "entries.xlsx")
        series = "code,t1,t2,t3\n" + "".join(f"{n},{4 + n % 300 / 100:.2f},x,-\n" for n in range(19_000))
        (folder / "series.csv").write_text(series, encoding="ascii")
        new_meet = ("--date", "2026-07-04", "--ages", "uk-before-2026", "--rules", "international")
        for command in (
            ("migrate", "--verbosity=0"),
            ("create_meet", "bench", *new_meet, "--from", f"{folder}/entries.csv"),
            ("import_entries", "bench", f"{folder}/entries.xlsx", "--dry-run"),
            ("import_entries", "bench", f"{folder}/entries.csv"),
            ("draw", "bench", "--seed", "1"),
            ("sheets", "bench", "--out", f"{folder}/sheets"),
            ("settle", f"{folder}/series.csv"),
            ("demo", "--no-serve", "--seed", "1", "--again"),
        ):
            held = peak_mb(*command, folder=folder)
            said = f"at most {LIMIT_MB} MB: {'yes' if held <= LIMIT_MB else 'OVER'}"
            sys.stdout.write(f"{' '.join(command).replace(f'{folder}/', ''):<100}{held:>6.0f} MB   {said}\n")
            sys.stdout.flush()


if __name__ == "__main__":
    main()
