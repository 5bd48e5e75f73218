"""Whether an athlete may enter an event by age and sex, and what to say about a board."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from athletes.models import Athlete
from meets.entries.known import KnownEvent
from meets.entries.outcome import Weight
from meets.entries.values import show_board
from meets.models import Event, Meet
from scoring.age_schemes import AgeScheme, scheme
from scoring.ages import AgeKind, AgeReason, age_on, group_of, too_old_or_young
from scoring.boards import Reach, ReachAdvice, boards_that_suit, reach_check
from scoring.marks import Unit, mark_in_cm, show_mark

# So many years below a group a birth date is more likely a slip than a gifted child.
ODD_YEARS = 4

# "9", "Year 9", "Y9"; not a year of the calendar.
WHOLE_YEAR = re.compile(r"(?<![0-9])[0-9]{1,2}(?![0-9])")

Said = tuple[Weight, str]


def sex_against(event: KnownEvent, sex: str) -> str:
    """A sentence if the event is not for this athlete, else ''."""
    if event.parts.category == Event.Category.BOYS and sex == Athlete.Sex.FEMALE:
        return _("%(event)s is for boys, and this line says girl.") % {"event": event.name}
    if event.parts.category == Event.Category.GIRLS and sex == Athlete.Sex.MALE:
        return _("%(event)s is for girls, and this line says boy.") % {"event": event.name}
    return ""


def age_against(meet: Meet, event: KnownEvent, born: date, on: date, school_year: str = "") -> list[Said]:
    """Everything to say about an athlete's age in an event."""
    said: list[Said] = []
    if event.rules.triple_jump_from and event.triple and age_on(born, on) < event.rules.triple_jump_from:
        says = _("the triple jump is for %(age)s years and older.") % {"age": event.rules.triple_jump_from}
        said.append((Weight.REFUSAL, says))
    if event.group is None:
        return said
    year = int(found[0]) if (found := WHOLE_YEAR.search(school_year)) else None
    reasons = too_old_or_young(born, event.group, on, meet_date=meet.date, school_year=year)
    ages = scheme(meet.age_scheme)
    said.extend(_age_said(reason, event, ages, born, on, meet.date) for reason in reasons)
    return said


def _age_said(reason: AgeReason, event: KnownEvent, ages: AgeScheme, born: date, on: date, meet_date: date) -> Said:
    facts = {
        "found": reason.found,
        "limit": reason.limit,
        "day": date_format(reason.on, "j F Y"),
        "group": event.group.key if event.group else event.parts.age_group,
    }
    match reason.kind:
        case AgeKind.TOO_OLD if reason.by_school_year:
            return Weight.REFUSAL, _("school year %(found)s is above %(group)s (to year %(limit)s).") % facts
        case AgeKind.TOO_OLD:
            says = _("%(found)s years old on %(day)s, so not under %(limit)s.") % facts
            own = group_of(ages, born, on, meet_date=meet_date)
            if own is not None:
                says = f"{says} {_('The age group is %(own)s.') % {'own': own.key}}"
            return Weight.REFUSAL, says
        case AgeKind.YOUNGER_THAN_GROUP:
            return _younger(reason, event, facts)
        case AgeKind.SCHOOL_YEAR_DISAGREES:
            return Weight.QUESTION, _("the school year and the date of birth do not agree about %(group)s.") % facts
        case AgeKind.NO_SCHOOL_YEAR:
            return Weight.REFUSAL, _("the school year is missing, by which %(group)s is decided.") % facts
        case _:
            return Weight.REFUSAL, _("the age on %(day)s cannot be told.") % facts


def _younger(reason: AgeReason, event: KnownEvent, facts: dict[str, object]) -> Said:
    if reason.by_school_year:
        says = _("school year %(found)s is below %(group)s (from year %(limit)s).") % facts
    else:
        says = _("%(found)s years old on %(day)s, younger than %(group)s (from %(limit)s).") % facts
    if not event.rules.older_group_allowed:
        return Weight.REFUSAL, says
    if (reason.limit or 0) - (reason.found or 0) >= ODD_YEARS:
        return Weight.QUESTION, f"{says} {_('Is the year of birth right?')}"
    return Weight.ADVICE, f"{says} {_('Competes in an older group.')}"


def board_said(
    event: KnownEvent,
    board_cm: int | None,
    seed_mark: int | None,
    recent_cm: Sequence[int],
    age: int,
    unit: Unit,
) -> list[Said]:
    """Reach advice for the board that is asked for; without one it is given at check-in."""
    if board_cm is not None and event.boards_cm and _nearest_board(event, board_cm) is None:
        boards = ", ".join(show_board(board, unit) for board in event.boards_cm)
        says = _(
            "this event has no board at %(board)s; its boards are %(boards)s. Entered without a board if you agree."
        )
        return [(Weight.QUESTION, says % {"board": show_board(board_cm, unit), "boards": boards})]
    seed_cm = None if seed_mark is None else mark_in_cm(seed_mark, unit)

    def check(board: int) -> ReachAdvice:
        return reach_check(
            board_cm=board,
            sand_cm=event.sand_cm,
            recent_cm=recent_cm,
            seed_cm=seed_cm,
            triple_jump=event.triple,
            young=age < event.rules.young_under,
            few_marks=event.rules.few_marks,
            margin_cm=event.rules.reach_margin_cm,
            wide_margin_cm=event.rules.reach_margin_young_cm,
            far_gap_cm=event.rules.sand_end_margin_cm,
            jump_share_percent=event.rules.jump_share_percent,
        )

    if not board_cm:
        return []
    advice = check(board_cm)
    if not advice.warns or (advice.verdict is Reach.UNKNOWN and not event.triple):
        return []
    return [(Weight.ADVICE, _reach_says(advice, unit, boards_that_suit(event.boards_cm, check)))]


def fitted_board(event: KnownEvent, board_cm: int | None) -> int | None:
    """The event's own board for a typed distance, feet being rounded; None where there is none."""
    return board_cm if board_cm is None or not event.boards_cm else _nearest_board(event, board_cm)


def _nearest_board(event: KnownEvent, board_cm: int) -> int | None:
    nearest = min(event.boards_cm, key=lambda board: abs(board - board_cm))
    return nearest if abs(nearest - board_cm) <= event.rules.board_tolerance_cm else None


def _reach_says(advice: ReachAdvice, unit: Unit, suiting: Sequence[int]) -> str:
    facts = {
        "board": show_board(advice.board_cm, unit),
        "reach": show_mark(advice.reach_cm or 0),
        "margin": show_mark(advice.margin_cm),
        "known": _("by the seed mark alone") if advice.from_seed else _("by the poorest recent mark"),
    }
    match advice.verdict:
        case Reach.UNKNOWN:
            return (
                _("reach from the %(board)s board is not known: watch a practice jump, start from the shortest.")
                % facts
            )
        case Reach.TOO_FAR:
            says = _(
                "the %(board)s board is far for a jump of %(reach)s (%(known)s; %(margin)s m into the sand is wanted)."
            )
        case Reach.STEP_OFF_THE_RUNWAY:
            says = _("from the %(board)s board the step of a jump of %(reach)s may land in the sand (%(known)s).")
        case Reach.PAST_THE_SAND:
            says = _("from the %(board)s board a jump of %(reach)s lands past the sand (%(known)s).")
        case _:
            says = _("from the %(board)s board a jump of %(reach)s lands near the far end of the sand (%(known)s).")
    if suiting:
        boards = ", ".join(show_board(board, unit) for board in suiting)
        return says % facts + " " + _("Suitable: %(boards)s.") % {"boards": boards}
    return says % facts
