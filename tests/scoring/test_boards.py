import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.boards import (
    Landing,
    NotABoard,
    Reach,
    ReachAdvice,
    board_measures_up,
    boards_that_suit,
    landing_near_end,
    possible_range,
    reach_check,
)

SAND = 800


@pytest.mark.parametrize(
    ("board_cm", "sand_cm", "zone_cm", "possible"),
    [
        (100, 1, 0, (100, 101)),
        (100, 800, 0, (100, 900)),
        (1300, 800, 0, (1300, 2100)),
        (100, 800, 80, (100, 980)),
        (0, 500, 0, (0, 500)),
    ],
)
def test_a_break_lies_in_the_sand(board_cm, sand_cm, zone_cm, possible):
    assert possible_range(board_cm, sand_cm, zone_cm) == possible


@pytest.mark.parametrize(
    ("sizes", "value"), [((-1, 800, 0), -1), ((100, 0, 0), 0), ((100, -800, 0), -800), ((100, 800, -80), -80)]
)
def test_no_such_pit(sizes, value):
    with pytest.raises(NotABoard) as refusal:
        possible_range(*sizes)
    assert refusal.value.value == value


@pytest.mark.parametrize(
    ("board_cm", "recent_cm", "seed_cm", "verdict"),
    [
        (100, (), None, Reach.UNKNOWN),
        # fewer than three known marks: 1.5 m of sand wanted
        (300, (), 449, Reach.TOO_FAR),
        (300, (), 450, Reach.OK),
        (300, (449, 500), None, Reach.TOO_FAR),
        # three known marks: 1 m, counted from the poorest, whatever the seed
        (300, (400, 500, 550), 390, Reach.OK),
        (300, (399, 500, 550), 600, Reach.TOO_FAR),
        # the far end
        (300, (1050, 1060, 1070), None, Reach.OK),
        (300, (1051, 1060, 1070), None, Reach.TOO_NEAR),
        (300, (1100, 1100, 1100), None, Reach.TOO_NEAR),
        (300, (1101, 1110, 1120), None, Reach.PAST_THE_SAND),
    ],
)
def test_long_jump_reach(board_cm, recent_cm, seed_cm, verdict):
    found = reach_check(board_cm=board_cm, sand_cm=SAND, recent_cm=recent_cm, seed_cm=seed_cm)
    assert found.verdict is verdict


@pytest.mark.parametrize(
    ("board_cm", "seed_cm", "verdict"),
    [
        (1300, 1160, Reach.TOO_FAR),
        (1100, 1160, Reach.TOO_FAR),
        (900, 1160, Reach.OK),
        (700, 1160, Reach.STEP_OFF_THE_RUNWAY),
        (700, 1300, Reach.STEP_OFF_THE_RUNWAY),
        # 67 % of 10.44 is 6.9948 and of 10.45 is 7.0015
        (700, 1044, Reach.OK),
        (700, 1045, Reach.STEP_OFF_THE_RUNWAY),
        (700, 1501, Reach.PAST_THE_SAND),
    ],
)
def test_triple_jump_reach(board_cm, seed_cm, verdict):
    found = reach_check(board_cm=board_cm, sand_cm=SAND, seed_cm=seed_cm, triple_jump=True)
    assert found.verdict is verdict


def test_the_young_keep_the_wide_margin_however_many_marks_are_known():
    marks = (420, 430, 440)
    grown, child = (reach_check(board_cm=300, sand_cm=SAND, recent_cm=marks, young=young) for young in (False, True))
    assert (grown.verdict, grown.margin_cm) == (Reach.OK, 100)
    assert (child.verdict, child.margin_cm) == (Reach.TOO_FAR, 150)


def test_every_number_is_a_field():
    found = reach_check(
        board_cm=900,
        sand_cm=SAND,
        recent_cm=(1000, 1001, 1002),
        triple_jump=True,
        margin_cm=101,
        jump_share_percent=40,
    )
    assert (found.verdict, found.step_cm) == (Reach.TOO_FAR, 600)
    wide = reach_check(board_cm=300, sand_cm=SAND, seed_cm=500, wide_margin_cm=201)
    assert (wide.verdict, wide.margin_cm) == (Reach.TOO_FAR, 201)
    few = reach_check(board_cm=300, sand_cm=SAND, recent_cm=(500, 500, 500), few_marks=4)
    assert few.margin_cm == 150
    gap = reach_check(board_cm=300, sand_cm=SAND, seed_cm=1000, far_gap_cm=101)
    assert gap.verdict is Reach.TOO_NEAR


def test_the_numbers_come_with_the_advice():
    assert reach_check(board_cm=900, sand_cm=SAND, seed_cm=1160, triple_jump=True) == ReachAdvice(
        Reach.OK,
        board_cm=900,
        margin_cm=150,
        reach_cm=1160,
        from_seed=True,
        into_sand_cm=260,
        to_far_end_cm=540,
        step_cm=778,
    )
    assert reach_check(board_cm=100, sand_cm=SAND, recent_cm=(480, 450, 460)) == ReachAdvice(
        Reach.OK, board_cm=100, margin_cm=100, reach_cm=450, into_sand_cm=350, to_far_end_cm=450
    )
    assert reach_check(board_cm=700, sand_cm=SAND) == ReachAdvice(Reach.UNKNOWN, board_cm=700, margin_cm=150)


@pytest.mark.parametrize(
    ("seed_cm", "suit"),
    [(None, (700,)), (860, (700,)), (1044, (700,)), (1160, (900,)), (1380, (1100,)), (600, ())],
)
def test_boards_that_suit(seed_cm, suit):
    def check(board_cm):
        return reach_check(board_cm=board_cm, sand_cm=SAND, seed_cm=seed_cm, triple_jump=True)

    assert boards_that_suit((1300, 1100, 900, 700), check) == suit


def test_no_board_of_a_pit_without_boards():
    assert boards_that_suit((), lambda board_cm: reach_check(board_cm=board_cm, sand_cm=SAND)) == ()


@pytest.mark.parametrize(
    ("mark_cm", "landing"),
    [
        (949, Landing.NEAR_RUNWAY),
        (950, Landing.INSIDE),
        (1650, Landing.INSIDE),
        (1651, Landing.NEAR_FAR_END),
        (1710, Landing.NEAR_FAR_END),
    ],
)
def test_landing_near_an_end(mark_cm, landing):
    assert landing_near_end(mark_cm, 900, SAND) is landing


@pytest.mark.parametrize(
    ("measured_cm", "tolerance_cm", "good"),
    [(900, 2, True), (902, 2, True), (898, 2, True), (903, 2, False), (897, 2, False), (901, 0, False)],
)
def test_the_board_is_where_it_says(measured_cm, tolerance_cm, good):
    assert board_measures_up(900, measured_cm, tolerance_cm) is good


def test_two_centimetres_are_tolerated_by_default():
    assert (board_measures_up(900, 902), board_measures_up(900, 903)) == (True, False)


@given(st.integers(100, 1300), st.integers(400, 1000), st.integers(1, 2000), st.booleans())
def test_an_ok_board_lands_the_athlete_well_inside_the_sand(board_cm, sand_cm, seed_cm, triple_jump):
    found = reach_check(board_cm=board_cm, sand_cm=sand_cm, seed_cm=seed_cm, triple_jump=triple_jump)
    well_inside = board_cm + 150 <= seed_cm <= board_cm + sand_cm - 50
    step_on_runway = not triple_jump or seed_cm * 67 <= board_cm * 100
    assert (found.verdict is Reach.OK) == (well_inside and step_on_runway)
