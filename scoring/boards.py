"""Boards: what can be jumped from one, and who can safely jump from it.

A board is named by its distance from the near edge of the sand. The reach check is advice; the referee
decides.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from scoring.errors import RuleError

# Runway and board: at least 40 m long, 1.22 m wide, board 1.22 m by 0.20 m (a runway maker's manual).
RUNWAY_CM = 4000
RUNWAY_WIDTH_CM = 122
BOARD_WIDTH_CM = 122
BOARD_DEPTH_CM = 20
# Long jump: line 1 to 3 m from the sand, at least 10 m to the far end (WA TR 30, number from memory).
LONG_JUMP_BOARD_CM = (100, 300)
LONG_JUMP_FAR_END_CM = 1000
# Triple jump: 13 m for men and 11 m for women at championships (WA TR 31, number from memory),
# at least 21 m to the far end (from memory).
TRIPLE_JUMP_BOARD_CM = {"men": 1300, "women": 1100}
TRIPLE_JUMP_FAR_END_CM = 2100
# Schools' triple jump lines (common practice).
SCHOOL_TRIPLE_JUMP_BOARDS_CM = (700, 900, 1100, 1300)
# Sand 2.75 to 3.00 m wide (the older international rule books).
SAND_WIDTH_CM = (275, 300)
# Wind: the reading starts as the athlete passes a mark 40 m (long jump) or 35 m (triple jump) from the line
# and takes 5 s; gauge 20 m from the line, 1.22 m high, within 2 m of the runway (older international books).
LONG_JUMP_WIND_MARK_CM = 4000
TRIPLE_JUMP_WIND_MARK_CM = 3500
WIND_SECONDS = 5
GAUGE_FROM_LINE_CM = 2000
GAUGE_HEIGHT_CM = 122
GAUGE_FROM_RUNWAY_CM = 200
# Shares of the phases of a young athlete's triple jump: hop, step, jump (a coaching book for ages 11 to 13).
PHASE_SHARES_PERCENT = (37, 30, 33)


class NotABoard(RuleError):
    """A distance that no board or sand can have.

    >>> str(NotABoard(-5, expected="a distance above zero"))
    '-5 is no board or sand; expected a distance above zero'
    """

    says = "is no board or sand"


def possible_range(board_cm: int, sand_cm: int, zone_cm: int = 0) -> tuple[int, int]:
    """Give the shortest and the longest mark that can be: the break is in the sand.

    Units: centimetres; `sand_cm` is the sand's length, `zone_cm` the depth of a take-off zone (0: a board).
    Outside of it ask, do not refuse: usually the wrong board is set, or the mark is a metre off.
    Rule: common practice. Raises NotABoard.

    >>> possible_range(100, 800), possible_range(100, 800, zone_cm=80)
    ((100, 900), (100, 980))
    """
    if board_cm < 0 or zone_cm < 0:
        raise NotABoard(min(board_cm, zone_cm), expected="a distance from the sand, not below zero")
    if sand_cm <= 0:
        raise NotABoard(sand_cm, expected="a length of the sand above zero")
    return board_cm, board_cm + zone_cm + sand_cm


class Reach(StrEnum):
    """What the reach check found.

    TOO_FAR: lands on the runway or barely in the sand. TOO_NEAR: lands close to the far end of the sand.
    PAST_THE_SAND: lands beyond it. STEP_OFF_THE_RUNWAY: a triple jump's step already lands in the sand.
    UNKNOWN: no mark known; watch a practice jump and start from the shortest board.

    >>> Reach.TOO_FAR.value
    'too-far'
    """

    OK = "ok"
    UNKNOWN = "unknown"
    TOO_FAR = "too-far"
    TOO_NEAR = "too-near"
    PAST_THE_SAND = "past-the-sand"
    STEP_OFF_THE_RUNWAY = "step-off-the-runway"


@dataclass(frozen=True, slots=True)
class ReachAdvice:
    """A verdict and the numbers it stands on, so that the reason can be worded.

    Units: centimetres. `reach_cm` is what the athlete is taken to jump (None: unknown), from the poorest
    recent mark or, if `from_seed`, the seed; `into_sand_cm` and `to_far_end_cm` are how far behind the near
    edge and before the far end that lands; `step_cm` is where the step lands, from the board (None in the
    long jump).

    >>> ReachAdvice(Reach.UNKNOWN, board_cm=900, margin_cm=150).warns
    True
    """

    verdict: Reach
    board_cm: int
    margin_cm: int
    reach_cm: int | None = None
    from_seed: bool = False
    into_sand_cm: int | None = None
    to_far_end_cm: int | None = None
    step_cm: int | None = None

    @property
    def warns(self) -> bool:
        """Whether an official should be told.

        >>> ReachAdvice(Reach.OK, board_cm=100, margin_cm=100).warns
        False
        """
        return self.verdict is not Reach.OK


def reach_check(
    *,
    board_cm: int,
    sand_cm: int,
    recent_cm: Sequence[int] = (),
    seed_cm: int | None = None,
    triple_jump: bool = False,
    young: bool = False,
    few_marks: int = 3,
    margin_cm: int = 100,
    wide_margin_cm: int = 150,
    far_gap_cm: int = 50,
    jump_share_percent: int = 33,
) -> ReachAdvice:
    """Advise whether an athlete lands well inside the sand from a board.

    Units: centimetres. `recent_cm` are the athlete's recent valid marks: the poorest counts, else `seed_cm`.
    `wide_margin_cm` replaces `margin_cm` for the young (usually under 14) and for fewer known marks than
    `few_marks`; `far_gap_cm` is kept free before the far end; `jump_share_percent` is the share of the last
    phase in a triple jump.
    Rule: judgement of an official, every number a field; phase shares from a coaching book for ages 11 to 13.
    Raises NotABoard.

    >>> advice = reach_check(board_cm=1300, sand_cm=800, seed_cm=1160, triple_jump=True)
    >>> advice.verdict.value, advice.into_sand_cm, advice.margin_cm
    ('too-far', -140, 150)
    >>> reach_check(board_cm=900, sand_cm=800, recent_cm=(1080, 1120, 1100), triple_jump=True).verdict.value
    'ok'
    """
    near_cm, far_cm = possible_range(board_cm, sand_cm)
    margin = wide_margin_cm if young or len(recent_cm) < few_marks else margin_cm
    reach = min(recent_cm, default=seed_cm)
    if reach is None:
        return ReachAdvice(Reach.UNKNOWN, board_cm, margin)
    # The step's landing is rounded up: the check never errs on the side of the sand.
    step = -(-reach * (100 - jump_share_percent) // 100) if triple_jump else None
    if near_cm > reach - margin:
        verdict = Reach.TOO_FAR
    elif reach > far_cm:
        verdict = Reach.PAST_THE_SAND
    elif step is not None and step > board_cm:
        verdict = Reach.STEP_OFF_THE_RUNWAY
    elif reach > far_cm - far_gap_cm:
        verdict = Reach.TOO_NEAR
    else:
        verdict = Reach.OK
    return ReachAdvice(
        verdict,
        board_cm,
        margin,
        reach_cm=reach,
        from_seed=not recent_cm,
        into_sand_cm=reach - near_cm,
        to_far_end_cm=far_cm - reach,
        step_cm=step,
    )


def boards_that_suit(boards_cm: Iterable[int], check: Callable[[int], ReachAdvice]) -> tuple[int, ...]:
    """Name the boards of a pit that an athlete's reach check is content with, shortest first.

    Units: centimetres; `check` gives the advice for one board. With no known mark only the shortest is named.
    Rule: as for the reach check; starting from the shortest is common practice.

    >>> def check(board_cm: int) -> ReachAdvice:
    ...     return reach_check(board_cm=board_cm, sand_cm=800, seed_cm=1160, triple_jump=True)
    >>> boards_that_suit((1300, 1100, 900, 700), check)
    (900,)
    """
    advice = [check(board_cm) for board_cm in sorted(boards_cm)]
    unknown = [found.board_cm for found in advice if found.verdict is Reach.UNKNOWN]
    return tuple(unknown[:1]) or tuple(found.board_cm for found in advice if not found.warns)


class Landing(StrEnum):
    """Where a valid trial landed, seen from the two ends of the sand.

    >>> Landing.NEAR_FAR_END.value
    'near-far-end'
    """

    INSIDE = "inside"
    NEAR_RUNWAY = "near-runway"
    NEAR_FAR_END = "near-far-end"


def landing_near_end(mark_cm: int, board_cm: int, sand_cm: int, gap_cm: int = 50) -> Landing:
    """Compare a landing with the ends of the sand after a valid trial; ask for another board when close.

    Units: centimetres; `gap_cm` is the least that should be left at either end.
    Rule: judgement of an official. Raises NotABoard.

    >>> [landing_near_end(mark, 900, 800).value for mark in (930, 1100, 1680)]
    ['near-runway', 'inside', 'near-far-end']
    """
    near_cm, far_cm = possible_range(board_cm, sand_cm)
    if mark_cm < near_cm + gap_cm:
        return Landing.NEAR_RUNWAY
    return Landing.NEAR_FAR_END if mark_cm > far_cm - gap_cm else Landing.INSIDE


def board_measures_up(board_cm: int, measured_cm: int, tolerance_cm: int = 2) -> bool:
    """Check the board's stated distance against the tape, before round 1 and before each round.

    Units: centimetres. Catches a tape that is hooked wrong for everybody.
    Rule: common practice, the tolerance a field.

    >>> board_measures_up(900, 902), board_measures_up(900, 910)
    (True, False)
    """
    return abs(measured_cm - board_cm) <= tolerance_cm
