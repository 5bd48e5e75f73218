"""What is printed on each sheet, as plain frozen values: words and figures exactly as they stand on paper.

`reads` fills them from the database; the modules named after the sheets draw them. Nothing here is looked up.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


@dataclass(frozen=True, slots=True)
class About:
    """What a sheet is about. Times as people read them; `format` in words; `version` of the start list or result."""

    meet: str
    event: str
    date: str
    pit: str = ""
    report_at: str = ""
    starts_at: str = ""
    format: str = ""
    together_with: str = ""
    version: str = ""
    printed: str = ""
    paper: str = "A4"


class For(StrEnum):
    """Who a start list is for."""

    OFFICIALS = "officials"
    ANNOUNCER = "announcer"
    STEWARD = "steward"


@dataclass(frozen=True, slots=True)
class StartLine:
    """One line of a start list. `string` is A, B or the word for a guest; `seed_note` date and wind of the seed."""

    order: str
    bib: str
    name: str
    school: str
    string: str = ""
    year_group: str = ""
    seed: str = ""
    seed_note: str = ""
    board: str = ""
    also_in: tuple[str, ...] = ()
    say_it: str = ""
    note: str = ""
    klass: str = ""


@dataclass(frozen=True, slots=True)
class Flight:
    """A flight of a start list. `title` is empty where there is only one."""

    title: str
    lines: tuple[StartLine, ...]


@dataclass(frozen=True, slots=True)
class StartList:
    """Who jumps, in which order. `records` and `standards` are ready sentences."""

    about: About
    flights: tuple[Flight, ...]
    triple: bool = False
    records: tuple[str, ...] = ()
    standards: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FieldSheet:
    """The officials' paper form. `number` and `about.version` are matched when it is typed in.

    `rounds` are jumped in the order of the flights, `later_rounds` in an order called out after them, on
    `later_lines` empty lines.
    """

    about: About
    number: str
    flights: tuple[Flight, ...]
    rounds: tuple[int, ...] = (1, 2, 3)
    later_rounds: tuple[int, ...] = (4, 5, 6)
    later_lines: int = 8
    later_order: str = ""
    feet: bool = False


@dataclass(frozen=True, slots=True)
class WindList:
    """The gauge operator's own list: turn, bib, reading."""

    about: About
    number: str
    flights: tuple[Flight, ...]
    rounds: tuple[int, ...] = (1, 2, 3)
    later_rounds: tuple[int, ...] = (4, 5, 6)
    later_lines: int = 8
    gauge: str = ""


@dataclass(frozen=True, slots=True)
class ProtestSlip:
    """A form for a protest or an incident. `minutes` is the time for protests after posting."""

    about: About
    minutes: int = 30


@dataclass(frozen=True, slots=True)
class Published:
    """What a published version says of itself. `says` when and until when, `address` its public page, if it has one."""

    says: str
    version: str
    hash: str
    address: str = ""


@dataclass(frozen=True, slots=True)
class ResultLine:
    """One line of a result. `place` empty for guests, NM, DNS and DQ; `series` a trial and its wind for each round.

    `best` holds the mark or the status; `marks` are PB, SB, record and standard signs; `legal` only if other.
    """

    place: str
    bib: str
    name: str
    school: str
    string: str = ""
    year_group: str = ""
    best: str = ""
    best_wind: str = ""
    legal: str = ""
    legal_wind: str = ""
    series: tuple[tuple[str, str], ...] = ()
    points: str = ""
    marks: tuple[str, ...] = ()
    klass: str = ""


@dataclass(frozen=True, slots=True)
class ResultSheet:
    """A result as it is posted. Sentences are ready; `cuts`: how many lines are above each cut, and its sentence.

    `protest_minutes` 0: the event is not over, so there is nothing to protest against yet.
    """

    about: About
    status: str
    lines: tuple[ResultLine, ...]
    rounds: int = 6
    posted_at: str = ""
    protests_before: str = ""
    protest_minutes: int = 30
    cuts: tuple[tuple[int, str], ...] = ()
    tie_notes: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    wind_note: str = ""
    officials: tuple[tuple[str, str], ...] = ()
    key: tuple[tuple[str, str], ...] = ()
    published: Published | None = None


@dataclass(frozen=True, slots=True)
class TeamLine:
    """A school's points: one cell for each event of the standings, in their order, and the total."""

    place: str
    school: str
    points: tuple[str, ...]
    total: str
    penalty: str = ""


@dataclass(frozen=True, slots=True)
class TeamStandings:
    """Schools by points. `still_open` names events without a final result."""

    about: About
    status: str
    events: tuple[str, ...]
    lines: tuple[TeamLine, ...]
    notes: tuple[str, ...] = ()
    still_open: tuple[str, ...] = ()
    published: Published | None = None


@dataclass(frozen=True, slots=True)
class CodeCard:
    """A code to be scanned: `address` is what it holds. `page` and `typed` are for a phone without a camera."""

    address: str
    page: str
    typed: str
    roles: str
    pit: str
    session: str


@dataclass(frozen=True, slots=True)
class CodeSheet:
    """Codes to be cut apart, one for each phone or crew. `until`: the last day on which they let phones in."""

    about: About
    until: str
    cards: tuple[CodeCard, ...]


@dataclass(frozen=True, slots=True)
class ClaimSheet:
    """A record claim to be signed. `facts` pairs of what and how; names of who confirms stand where they are known.

    `decided` who decided what and when, empty while the claim is open; `decision` the reasons.
    """

    about: About
    says: str
    mark: str
    wind: str
    name: str
    school: str
    bib: str
    facts: tuple[tuple[str, str], ...]
    needs_wind: bool = True
    board_by: str = ""
    measured_by: str = ""
    wind_by: str = ""
    decided: str = ""
    decision: str = ""
