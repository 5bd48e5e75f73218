"""The published series in `data/`, read plainly: no word of `scoring` in here.

Each file keeps its source line. Codes are anonymous. Lines starting `#` are remarks: `# cut: 3:8` that after round 3
the best 8 went on, `# positions:` that failed or passed trials are missing (rounds cannot be replayed), `# passed:`
who went on without a further trial shown, `# contradicts:` a published place that does not follow from the series.
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from pathlib import Path

DATA = Path(__file__).parent / "data"
CODE = re.compile(r"\bA[0-9]{2}\b")


@dataclass(frozen=True)
class Competition:
    """A published competition: remarks by their first word, and the athletes' rows as in the file."""

    name: str
    remarks: dict[str, str]
    rows: tuple[dict[str, str], ...]

    @property
    def content(self) -> bytes:
        return (DATA / f"{self.name}.csv").read_bytes()

    @property
    def cuts(self) -> dict[int, int]:
        written = (cut.split(":") for cut in self.remarks.get("cut", "").split())
        return {int(after): int(many) for after, many in written}

    @property
    def replayable(self) -> bool:
        return "positions" not in self.remarks

    def codes_in(self, remark: str) -> set[str]:
        return set(CODE.findall(self.remarks.get(remark, "")))

    def published(self, column: str) -> dict[str, str]:
        return {row["code"]: row[column] for row in self.rows}


def words(row: dict[str, str]) -> set[str]:
    return set(row["note"].split())


def marks(row: dict[str, str], upto: int = 6) -> tuple[int, ...]:
    """Valid marks of the first rounds in centimetres, best first."""
    cells = (row[f"t{number}"] for number in range(1, upto + 1))
    return tuple(sorted((int(cell.replace(".", "")) for cell in cells if cell[:1].isdigit()), reverse=True))


def trials_after(row: dict[str, str], round: int) -> bool:
    return any(row[f"t{number}"] for number in range(round + 1, 7))


def read(path: Path) -> Competition:
    lines = path.read_text(encoding="utf-8").splitlines()
    remarks = dict(line[2:].split(": ", 1) for line in lines if line.startswith("# "))
    table = csv.DictReader(line for line in lines if not line.startswith("#"))
    return Competition(path.stem, remarks, tuple(table))


COMPETITIONS = {path.stem: read(path) for path in sorted(DATA.glob("*.csv"))}
