"""What a command takes of the machine at its worst, measured on the process from outside."""

import csv
import os
import random
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[3]
DATA = ROOT / "tests" / "meets" / "entries" / "data"
MOST_MB = 200

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not hasattr(os, "wait4"), reason="this system does not say what one process took"),
]


def megabytes_of(*arguments: object, **environment: str) -> tuple[int, float]:
    """Exit code and the most memory that the command ever held."""
    process = subprocess.Popen(
        [sys.executable, ROOT / "manage.py", *map(str, arguments)],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env={**os.environ, **environment},
    )  # fmt: skip
    _pid, status, usage = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    unit = 1024 * 1024 if sys.platform == "darwin" else 1024
    return process.returncode, usage.ru_maxrss / unit


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
