"""What the pages of the entries show."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from athletes.models import Discipline, School
from athletes.reading.opening import read_table
from meets.entries.checking import check_table
from meets.entries.columns import looks_like_headings
from meets.entries.outcome import CheckedFile, CheckedLine, Verdict
from meets.entries.report import VERDICT_WORDS
from meets.entries.rules import event_rules, meet_rules
from meets.entries.values import show_board
from meets.models import Entry, Event, LogRow, Meet
from scoring.marks import Unit, show_mark
from scoring.wind import Wind, show_wind

# Longer groups of a check are shown to this line; the download has them all.
SHOWN_OF_A_GROUP = 500
ORDER = (Verdict.ASKED, Verdict.REFUSED, Verdict.ADVICE, Verdict.ACCEPTED, Verdict.REPEAT, Verdict.EMPTY)


def check_upload(meet: Meet, name: str, data: bytes, *, now: datetime) -> CheckedFile:
    """Read and check an uploaded file. Raises Unreadable with a sentence for people."""
    return check_table(read_table(name, data, looks_right=looks_like_headings), meet, now=now)


@dataclass(frozen=True, slots=True)
class Shown:
    """A checked line as the check page shows it."""

    number: int
    name: str
    school: str
    event: str
    string: str
    best: str
    board: str
    year: str
    reasons: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Group:
    """The lines of one verdict; `count` is how many there are, shown or not."""

    verdict: str
    title: str
    says: str
    count: int
    lines: tuple[Shown, ...]

    @property
    def more(self) -> int:
        return self.count - len(self.lines)


def titles() -> dict[Verdict, tuple[str, str]]:
    return {
        Verdict.ASKED: (_("For you to decide"), _("These are stored only if you tick them.")),
        Verdict.REFUSED: (
            _("Refused"),
            _("These cannot be stored. Correct them in the file and read it in again: nothing is entered twice."),
        ),
        Verdict.ADVICE: (_("Accepted, with advice"), _("These are stored as they stand; something is worth knowing.")),
        Verdict.ACCEPTED: (_("Accepted"), _("These are stored.")),
        Verdict.REPEAT: (_("Repeats"), _("These are entered already, or stand above in the file. Nothing is to do.")),
        Verdict.EMPTY: (_("Empty lines"), ""),
    }


def counts_of(checked: CheckedFile) -> list[tuple[str, str, int]]:
    """Verdict, its words, how many lines; in the order of the page."""
    counts = checked.counts()
    return [(verdict.value, str(VERDICT_WORDS[verdict]), counts[verdict]) for verdict in ORDER]


def chosen_by(checked: CheckedFile, verdict: str, school: str) -> list[CheckedLine]:
    """The lines that a filter lets through: all of them for empty values."""
    return [
        line
        for line in checked.lines
        if (not verdict or line.verdict == verdict) and (not school or line.school == school)
    ]


def schools_of(checked: CheckedFile) -> list[str]:
    return sorted({line.school for line in checked.lines if line.school})


def groups_of(lines: list[CheckedLine], unit: str) -> list[Group]:
    said = titles()
    groups = []
    for verdict in ORDER:
        own = [line for line in lines if line.verdict is verdict]
        if own:
            title, says = said[verdict]
            shown = tuple(_shown(line, Unit(unit)) for line in own[:SHOWN_OF_A_GROUP])
            groups.append(Group(verdict.value, title, says, len(own), shown))
    return groups


def _shown(line: CheckedLine, unit: Unit) -> Shown:
    wanted = line.wanted
    return Shown(
        number=line.number,
        name=line.name,
        school=line.school,
        event=line.event,
        string=_("guest") if wanted and wanted.guest else wanted.string if wanted else "",
        best="" if wanted is None or wanted.seed_mark is None else show_mark(wanted.seed_mark, unit),
        board="" if wanted is None or wanted.board_cm is None else show_board(wanted.board_cm, unit),
        year=str(wanted.born.year) if wanted else "",
        reasons=tuple((_column(reason.column), reason.says) for reason in line.reasons),
    )


def _column(name: str) -> str:
    """A column without a heading is called by its number."""
    return _("Column %(number)s") % {"number": name} if name.isdigit() else name


def entries_of_meet(meet: Meet) -> QuerySet[Entry]:
    return (
        Entry.objects.filter(event__meet=meet)
        .select_related("event", "athlete__school")
        .order_by("event__position", "event", "athlete__school__code", "string", "athlete__last_name")
    )


def with_words(entries: QuerySet[Entry], words: str) -> QuerySet[Entry]:
    """Those in whose name every word stands, or who have it as their bib."""
    for word in words.split():
        entries = entries.filter(
            Q(athlete__first_name__icontains=word) | Q(athlete__last_name__icontains=word) | Q(bib__iexact=word)
        )
    return entries


@dataclass(frozen=True, slots=True)
class Summary:
    """How many entries a meet has, and how many have no bib yet."""

    standing: int
    without_bib: int


def summary_of(meet: Meet) -> Summary:
    standing = Entry.objects.filter(event__meet=meet).exclude(status=Entry.Status.WITHDRAWN)
    bibs = list(standing.values_list("bib", flat=True).order_by())
    return Summary(len(bibs), bibs.count(""))


def events_of_meet(meet: Meet) -> QuerySet[Event]:
    return Event.objects.filter(meet=meet)


def schools_entered(meet: Meet) -> QuerySet[School]:
    return School.objects.filter(athletes__entries__event__meet=meet).distinct()


def all_schools() -> QuerySet[School]:
    return School.objects.all()


def best_shown(entry: Entry, unit: str) -> str:
    return "" if entry.seed_mark is None else show_mark(entry.seed_mark, Unit(unit))


def board_shown(board_cm: int | None, unit: str) -> str:
    return "" if board_cm is None else show_board(board_cm, Unit(unit))


def longest_cm(entry: Entry) -> int:
    return event_rules(entry.event, meet_rules(entry.event.meet)).longest_cm(
        entry.event.discipline == Discipline.TRIPLE_JUMP
    )


def boards_help(entry: Entry) -> str:
    """Which boards the event has, for whoever types one."""
    if not entry.event.boards_cm:
        return ""
    unit = Unit(entry.event.meet.unit)
    boards = ", ".join(show_board(board, unit) for board in entry.event.boards_cm)
    return _("Boards of this event: %(boards)s.") % {"boards": boards}


def texts_of(entry: Entry) -> dict[str, str]:
    """Best, wind and board as they are typed."""
    unit = entry.event.meet.unit
    wind = "" if entry.seed_wind_tenths is None else show_wind(Wind(entry.seed_wind_tenths))
    return {
        "seed_mark": best_shown(entry, unit),
        "seed_wind_tenths": wind,
        "board_cm": board_shown(entry.board_cm, unit),
    }


def has_log(entry: Entry) -> bool:
    """Whether the event has been drawn: from then on its log says who is in it."""
    return LogRow.objects.filter(event=entry.event_id).exists()


def entry_of(meet: Meet, entry_id: int) -> Entry | None:
    return entries_of_meet(meet).select_related("event__meet").filter(pk=entry_id).first()


def ready(lines: list[CheckedLine]) -> int:
    """How many of the lines are stored unless they are left out."""
    return sum(line.verdict in (Verdict.ACCEPTED, Verdict.ADVICE) for line in lines)


def asked(lines: list[CheckedLine]) -> int:
    return sum(line.verdict is Verdict.ASKED for line in lines)
