"""Whether an athlete is likely to land well inside the sand from a board: advice in words, the referee decides."""

from collections.abc import Iterable, Mapping
from datetime import date

from django.utils.translation import gettext as _

from athletes.models import PastMark
from meets.models import Entry, Event
from meets.running.reads import is_triple, rules_of, sand_cm_of
from scoring.ages import age_on
from scoring.boards import Reach, ReachAdvice, reach_check
from scoring.marks import Unit, mark_in_cm
from scoring.rulesets import RuleSet

RECENT_MARKS = 6


def reach_doubts(event: Event, entries: Iterable[Entry], boards_cm: Mapping[str, int | None]) -> dict[str, str]:
    """For every entry, by its key, a doubt about its board in words, or ''. `boards_cm`: the board to look at."""
    entries = list(entries)
    wanted = {str(entry.pk): [board] if (board := boards_cm.get(str(entry.pk))) else [] for entry in entries}
    found = reach_by_board(event, entries, wanted)
    return {key: next(iter(doubts.values()), "") for key, doubts in found.items()}


def reach_by_board(
    event: Event, entries: Iterable[Entry], boards_cm: Mapping[str, Iterable[int]]
) -> dict[str, dict[int, str]]:
    """For every entry, by its key, the doubts about the boards in question; boards without one are left out."""
    entries = list(entries)
    recent, sand_cm, rules = _recent_marks(event, entries), sand_cm_of(event), rules_of(event)
    doubts: dict[str, dict[int, str]] = {}
    for entry in entries:
        own = doubts.setdefault(str(entry.pk), {})
        for board_cm in boards_cm.get(str(entry.pk), ()) if sand_cm else ():
            advice = _advice(event, rules, entry, board_cm, sand_cm, recent.get(entry.athlete_id, ()))
            if _is_said(advice, event):
                own[board_cm] = reach_words(advice)
    return doubts


def reach_doubt(event: Event, entry: Entry, board_cm: int) -> str:
    """A doubt about one athlete and one board in words, or ''."""
    return reach_doubts(event, [entry], {str(entry.pk): board_cm})[str(entry.pk)]


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
    event: Event, rules: RuleSet, entry: Entry, board_cm: int, sand_cm: int, recent_cm: Iterable[int]
) -> ReachAdvice:
    return reach_check(
        board_cm=board_cm,
        sand_cm=sand_cm,
        recent_cm=tuple(recent_cm),
        seed_cm=mark_in_cm(entry.seed_mark, Unit(event.meet.unit)) if entry.seed_mark else None,
        triple_jump=is_triple(event),
        young=_is_young(entry.athlete.born, event.meet.date, rules),
        few_marks=rules.few_marks,
        margin_cm=rules.reach_margin_cm,
        wide_margin_cm=rules.reach_margin_young_cm,
        far_gap_cm=rules.sand_end_margin_cm,
        jump_share_percent=rules.jump_share_percent,
    )


def _is_young(born: date | None, on: date, rules: RuleSet) -> bool:
    """Whoever could be young gets the wider margin."""
    return born is None or age_on(born, on) < rules.young_under


def _is_said(advice: ReachAdvice, event: Event) -> bool:
    """A long jumper without a known mark is nothing to speak of; a triple jumper may not reach the sand."""
    return advice.warns and (advice.verdict is not Reach.UNKNOWN or is_triple(event))


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
    return _sentence(advice) % values


def _sentence(advice: ReachAdvice) -> str:
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
