"""What is printed for schools and pupils, as plain frozen values: packs, certificates, labels, the medal table."""

from __future__ import annotations

from dataclasses import dataclass

from meets.sheets.documents import About, ResultSheet, TeamStandings


@dataclass(frozen=True, slots=True)
class OwnLine:
    """One of the school's own athletes in an event. `notes`: standard, records, who goes through, what is held back."""

    place: str
    bib: str
    name: str
    mark: str
    wind: str = ""
    signs: str = ""
    points: str = ""
    notes: tuple[str, ...] = ()
    changed: bool = False


@dataclass(frozen=True, slots=True)
class OwnEvent:
    """An event with the school's own athletes; `series` is the result cut down to them."""

    name: str
    status: str
    lines: tuple[OwnLine, ...]
    series: ResultSheet


@dataclass(frozen=True, slots=True)
class NextMeetLines:
    """Who goes through: a sentence about the meet, one about the reply, and a line for each athlete."""

    about: str
    reply: str
    going: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PackSheet:
    """The pack of a school. `about.event` is the school's name, `changes` what is new `since` an earlier pack."""

    about: About
    team: str
    team_status: str
    events: tuple[OwnEvent, ...]
    next_meet: NextMeetLines | None = None
    still_open: tuple[str, ...] = ()
    since: str = ""
    changes: tuple[str, ...] = ()
    results: tuple[ResultSheet, ...] = ()
    standings: TeamStandings | None = None
    address: str = ""


@dataclass(frozen=True, slots=True)
class Certificate:
    """One certificate. `honours` are ready lines, the weightiest first; `mark_cm` places the stroke in the drawing.

    `provisional` is a sentence if the result may still change.
    """

    name: str
    school: str
    event: str
    honours: tuple[str, ...]
    mark: str
    mark_cm: int
    meet: str
    date: str
    triple: bool = False
    wind: str = ""
    provisional: str = ""


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """Sheets of adhesive labels, sizes in mm. `skip`: labels of the first sheet that are used already."""

    width: float = 63.5
    height: float = 38.1
    columns: int = 3
    rows: int = 7
    left: float = 7.2
    top: float = 15.1
    gap_across: float = 2.5
    gap_down: float = 0
    skip: int = 0
    paper: str = "A4"


USUAL_LABELS = {"A4": LabelSheet(), "letter": LabelSheet(66.7, 25.4, 3, 10, 4.8, 12.7, 3.1, paper="letter")}
"""Sizes that many packets have (common practice): 21 on A4, 30 on Letter."""


@dataclass(frozen=True, slots=True)
class MedalLine:
    """A school's firsts, seconds and thirds; `place` as shown, with `=` where shared."""

    place: str
    school: str
    firsts: int
    seconds: int
    thirds: int

    @property
    def total(self) -> int:
        return self.firsts + self.seconds + self.thirds


@dataclass(frozen=True, slots=True)
class MedalTable:
    """Schools by their firsts, then seconds, then thirds. `notes`: what is provisional or not published."""

    about: About
    status: str
    lines: tuple[MedalLine, ...]
    notes: tuple[str, ...] = ()
