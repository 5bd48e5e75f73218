"""What check-in and the draw show: who is expected, who is here, and whose board needs a look."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _

from athletes.models import PastMark
from meets.desk.event.log_words import METHODS
from meets.desk.event.series import year_words
from meets.models import Entry, Event
from meets.running.reads import Person, entries_of, is_triple, people_of, rules_of, sand_cm_of, state_of
from scoring.ages import age_on
from scoring.boards import Reach, ReachAdvice, reach_check
from scoring.flights import DrawMethod
from scoring.marks import Unit, mark_in_cm
from scoring.rulesets import RuleSet
from scoring.state import EventState

RECENT_MARKS = 6


@dataclass(frozen=True)
class CheckInLine:
    """An athlete at check-in. `here`: "here", "not" or nothing yet; `reach`: a doubt about the board, in words."""

    person: Person
    here: str
    board: str
    reach: str
    flight: int
    order: int
    pending: bool

    @property
    def year(self) -> str:
        return year_words(self.person)


@dataclass(frozen=True)
class CheckIn:
    lines: tuple[CheckInLine, ...]
    begun: bool
    version: int

    @property
    def counts(self) -> tuple[int, int, int]:
        """Here, not here, not yet asked."""
        here = [line.here for line in self.lines]
        return here.count("here"), here.count("not"), here.count("")


def check_in_of(event: Event) -> CheckIn:
    entries = entries_of(event)
    state = state_of(event, entries)
    people = people_of(event, entries)
    reach = reach_doubts(event, entries, state)
    lines = []
    for entry in state.entries:
        key = entry.line.entry
        here = "here" if entry.checked_in else "not" if entry.status == "DNS" else ""
        board = f"{entry.board_cm / 100:g} m" if entry.board_cm else ""
        lines.append(CheckInLine(people[key], here, board, reach[key], entry.flight, entry.order, entry.pending))
    lines.sort(key=lambda line: by_bib(line.person))
    return CheckIn(tuple(lines), any(entry.turns for entry in state.entries), state.version)


def by_bib(person: Person) -> tuple[int, str]:
    """Bibs in order: numbers as numbers, then letters."""
    return (int(person.bib), "") if person.bib.isdigit() else (10**9, person.bib)


def reach_doubts(event: Event, entries: Iterable[Entry], state: EventState) -> dict[str, str]:
    """For every entry a doubt about board and sand in words, or nothing."""
    entries = list(entries)
    rules, sand_cm, unit = rules_of(event), sand_cm_of(event), Unit(event.meet.unit)
    known = _recent_marks(event, entries)
    boards = {entry.line.entry: entry.board_cm for entry in state.entries}
    doubts = {}
    for entry in entries:
        board_cm = boards.get(str(entry.pk)) or entry.board_cm
        advice = None
        if board_cm and sand_cm:
            seed = mark_in_cm(entry.seed_mark, unit) if entry.seed_mark else None
            advice = _advice(board_cm, sand_cm, known.get(entry.athlete_id, []), seed, event, rules, entry)
        unsaid = advice is None or (advice.verdict is Reach.UNKNOWN and not is_triple(event))
        doubts[str(entry.pk)] = reach_words(advice) if advice and advice.warns and not unsaid else ""
    return doubts


def _recent_marks(event: Event, entries: list[Entry]) -> dict[int, list[int]]:
    marks = PastMark.objects.filter(
        athlete_id__in=[entry.athlete_id for entry in entries], discipline=event.discipline
    ).order_by("-jumped_on", "pk")
    known: dict[int, list[int]] = {}
    for athlete_id, mark_cm in marks.values_list("athlete_id", "mark_cm"):
        recent = known.setdefault(athlete_id, [])
        if len(recent) < RECENT_MARKS:
            recent.append(mark_cm)
    return known


def _advice(
    board_cm: int, sand_cm: int, recent: list[int], seed: int | None, event: Event, rules: RuleSet, entry: Entry
) -> ReachAdvice:
    return reach_check(
        board_cm=board_cm,
        sand_cm=sand_cm,
        recent_cm=recent,
        seed_cm=seed,
        triple_jump=is_triple(event),
        young=age_on(entry.athlete.born, event.meet.date) < rules.young_under,
        few_marks=rules.few_marks,
        margin_cm=rules.reach_margin_cm,
        wide_margin_cm=rules.reach_margin_young_cm,
        far_gap_cm=rules.sand_end_margin_cm,
        jump_share_percent=rules.jump_share_percent,
    )


def reach_words(advice: ReachAdvice) -> str:
    """The doubt and the numbers it stands on."""
    values = {
        "board": f"{advice.board_cm / 100:g}",
        "reach": f"{(advice.reach_cm or 0) / 100:.2f}",
        "into": f"{(advice.into_sand_cm or 0) / 100:.2f}",
        "short": f"{abs(advice.into_sand_cm or 0) / 100:.2f}",
        "end": f"{(advice.to_far_end_cm or 0) / 100:.2f}",
        "past": f"{abs(advice.to_far_end_cm or 0) / 100:.2f}",
        "step": f"{(advice.step_cm or 0) / 100:.2f}",
        "margin": f"{advice.margin_cm / 100:g}",
    }
    return _reach_sentence(advice) % values


def _reach_sentence(advice: ReachAdvice) -> str:
    match advice.verdict:
        case Reach.UNKNOWN:
            return _("No mark is known: watch a practice jump, and start from the shortest board.")
        case Reach.TOO_FAR if (advice.into_sand_cm or 0) < 0:
            return _("Board %(board)s m, known reach %(reach)s m: would land %(short)s m before the sand.")
        case Reach.TOO_FAR:
            return _(
                "Board %(board)s m, known reach %(reach)s m: lands only %(into)s m into the sand; "
                "%(margin)s m would be safer."
            )
        case Reach.STEP_OFF_THE_RUNWAY:
            return _("Board %(board)s m, known reach %(reach)s m: the step would land in the sand, at %(step)s m.")
        case Reach.PAST_THE_SAND:
            return _("Board %(board)s m, known reach %(reach)s m: would land %(past)s m past the end of the sand.")
        case _:
            return _("Board %(board)s m, known reach %(reach)s m: lands only %(end)s m before the end of the sand.")


@dataclass(frozen=True)
class FlightLine:
    """One line of a flight as drawn."""

    order: int
    person: Person
    board: str


@dataclass(frozen=True)
class Draw:
    """The start list as it stands. `method` and `seed` make it again."""

    version: int
    method: str
    seed: int
    by: str
    flights: tuple[tuple[FlightLine, ...], ...]
    begun: bool
    entered: int
    missing: tuple[Person, ...]


def draw_of(event: Event) -> Draw:
    entries = entries_of(event)
    state = state_of(event, entries)
    people = people_of(event, entries)
    row = event.log.filter(kind="drawn").order_by("rev").last()
    listed = {entry for flight in state.flights for entry in flight}
    boards = {entry.line.entry: entry.board_cm for entry in state.entries}
    flights = tuple(
        tuple(
            FlightLine(order, people[key], f"{boards[key] / 100:g} m" if boards.get(key) else "")
            for order, key in enumerate(flight, 1)
        )
        for flight in state.flights
    )
    return Draw(
        version=state.draw_version,
        method=method_words(row.values.get("method", "lot")) if row else "",
        seed=row.values.get("seed", 0) if row else 0,
        by=row.by if row else "",
        flights=flights,
        begun=any(entry.turns for entry in state.entries),
        entered=len(people),
        missing=tuple(person for key, person in people.items() if state.flights and key not in listed),
    )


def method_words(method: str) -> str:
    return str(METHODS[DrawMethod(method)])


def draw_methods(event: Event) -> list[tuple[str, str]]:
    """Ways to make flights, the one of the rule set first and named as such."""
    own = rules_of(event).first_order
    methods = sorted(METHODS.items(), key=lambda item: item[0] != own)
    return [
        (str(method), _("%(method)s (as the rule set says)") % {"method": words} if method == own else str(words))
        for method, words in methods
    ]
