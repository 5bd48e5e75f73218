"""What a check says of a file: every line with its verdict and all its reasons, before anything is stored."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date
from enum import IntEnum, StrEnum
from hashlib import sha256

from athletes.reading.table import Value, place


class Weight(IntEnum):
    """How much a reason weighs: advice never blocks, a question needs consent, a refusal ends it."""

    ADVICE = 1
    QUESTION = 2
    REFUSAL = 3


class Verdict(StrEnum):
    """What becomes of a line."""

    ACCEPTED = "accepted"
    ADVICE = "advice"
    ASKED = "asked"
    REFUSED = "refused"
    REPEAT = "repeat"
    EMPTY = "empty"


STORABLE = frozenset({Verdict.ACCEPTED, Verdict.ADVICE, Verdict.ASKED})


@dataclass(frozen=True, slots=True)
class Reason:
    """One sentence about a line, and the column it is about ('' for the whole line)."""

    weight: Weight
    says: str
    column: str = ""


@dataclass(frozen=True, slots=True)
class Wanted:
    """The entry that a line asks for. `athlete_pk` is None for an athlete not known before."""

    school_pk: int
    school_code: str
    athlete_pk: int | None
    first_name: str
    last_name: str
    born: date
    sex: str
    event_pk: int
    event_name: str
    string: str = ""
    guest: bool = False
    klass: str = ""
    seed_mark: int | None = None
    seed_wind_tenths: int | None = None
    seed_date: date | None = None
    board_cm: int | None = None
    school_year: str = ""
    say_it: str = ""
    not_public: bool = False

    @property
    def name(self) -> str:
        return f"{self.first_name} {self.last_name}"


@dataclass(frozen=True, slots=True)
class CheckedLine:
    """A line with its verdict. Name, school and event are as they were understood, else as they stand in the file."""

    number: int
    verdict: Verdict
    reasons: tuple[Reason, ...]
    values: tuple[Value, ...]
    wanted: Wanted | None = None
    name: str = ""
    school: str = ""
    event: str = ""

    def sentences(self, file: str) -> tuple[str, ...]:
        """The reasons, each with its place: file, line, column."""
        return tuple(f"{place(file, self.number, reason.column)}: {reason.says}" for reason in self.reasons)


@dataclass(frozen=True, slots=True)
class NewSchool:
    """A school that lines of the file name and nobody knows yet. `like`: another of them that is spelt alike."""

    code: str
    name: str
    like: str = ""


@dataclass(frozen=True, slots=True)
class CheckedFile:
    """A file after its check. `basis` is the state of the meet that the check stands on."""

    name: str
    meet_pk: int
    headings: tuple[str, ...]
    heading_line: int
    lines: tuple[CheckedLine, ...]
    notices: tuple[str, ...]
    new_schools: tuple[NewSchool, ...]
    late: bool
    basis: str

    def counts(self) -> dict[Verdict, int]:
        counted = Counter(line.verdict for line in self.lines)
        return {verdict: counted[verdict] for verdict in Verdict}

    def digest(self) -> str:
        """Changes when any line's outcome does, so that nothing is stored but what was shown."""
        shown = [(line.number, line.verdict, line.reasons, line.wanted) for line in self.lines]
        return sha256(repr(shown).encode()).hexdigest()
