"""Facts of wind, rounding, time, boards and sand, each with its source beside it.

"from memory" and "common practice" mean just that: no text was at hand to check them against.
"""

import pytest

from scoring import boards
from scoring.marks import Unit, mark_from_mm, mark_in_cm, parse_mark, show_mark
from scoring.rulesets import RULE_SETS
from scoring.wind import Wind, WindStatus, gauge_to_tenths, wind_status


# source: rule 163 of the international rule book, in Portuguese ("Regras Saltos Atletismo"): distances are
# recorded to the centimetre below the distance measured
@pytest.mark.parametrize(("mm", "shown"), [(5430, "5.43"), (5439, "5.43"), (5440, "5.44"), (8949, "8.94")])
def test_metres_are_recorded_to_the_centimetre_below(mm, shown):
    assert show_mark(mark_from_mm(mm)) == shown


# source: a US school summary of the jumps: the quarter inch below; one inch is 25.4 mm by definition
@pytest.mark.parametrize(
    ("mm", "shown"), [(4991, "16-04.25"), (4992, "16-04.50"), (4997, "16-04.50"), (4998, "16-04.75")]
)
def test_feet_and_inches_are_recorded_to_the_quarter_inch_below(mm, shown):
    assert show_mark(mark_from_mm(mm, Unit.QUARTER_INCH), Unit.QUARTER_INCH) == shown


# source: 8.95 m, the men's long-jump world record of 1991, is commonly given as 29-04.25 (from memory)
def test_a_well_known_distance_in_both_units():
    assert mark_from_mm(8950, Unit.QUARTER_INCH) == parse_mark("29-04.25", Unit.QUARTER_INCH)


# source: WA TR 17, from memory: two-decimal readings go to the next tenth in the positive direction, with
# these three as the rule's own examples
@pytest.mark.parametrize(("hundredths", "tenths"), [(203, 21), (200, 20), (-203, -20)])
def test_a_gauge_reading_goes_up_to_the_next_tenth(hundredths, tenths):
    assert gauge_to_tenths(hundredths) == tenths


# source: +2.0 m/s is the limit printed on published result sheets, which mark +2.1 with a w
@pytest.mark.parametrize(("tenths", "status"), [(20, WindStatus.LEGAL), (21, WindStatus.WINDY)])
def test_two_metres_a_second_is_the_last_legal_wind(tenths, status):
    assert wind_status(Wind(tenths)) is status


# source: lowest and highest wind in the published series beside these tests: -4.3 and +3.1
@pytest.mark.parametrize(("tenths", "status"), [(-43, WindStatus.LEGAL), (31, WindStatus.WINDY)])
def test_winds_that_were_published(tenths, status):
    assert wind_status(Wind(tenths)) is status


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        # source: rule 163 in Portuguese: 40 m and 35 m from the line, 5 s; gauge 20 m from the line, 1.22 m
        # high, at most 2 m from the runway
        (boards.LONG_JUMP_WIND_MARK_CM, 4000),
        (boards.TRIPLE_JUMP_WIND_MARK_CM, 3500),
        (boards.WIND_SECONDS, 5),
        (boards.GAUGE_FROM_LINE_CM, 2000),
        (boards.GAUGE_HEIGHT_CM, 122),
        (boards.GAUGE_FROM_RUNWAY_CM, 200),
        # source: board positions in a runway maker's manual: runway at least 40 m by 1.22 m, board 1.22 by 0.20 m
        (boards.RUNWAY_CM, 4000),
        (boards.RUNWAY_WIDTH_CM, 122),
        (boards.BOARD_WIDTH_CM, 122),
        (boards.BOARD_DEPTH_CM, 20),
        # source: long jump rules, trackathletics.tripod.com: line 1 to 3 m from the sand, 10 m to its far end
        (boards.LONG_JUMP_BOARD_CM, (100, 300)),
        (boards.LONG_JUMP_FAR_END_CM, 1000),
        # source: European Athletics on the triple jump: 13 m for men, 11 m for women at championships
        (boards.TRIPLE_JUMP_BOARD_CM, {"men": 1300, "women": 1100}),
        # source: from memory
        (boards.TRIPLE_JUMP_FAR_END_CM, 2100),
        # source: rule 163 in Portuguese
        (boards.SAND_WIDTH_CM, (275, 300)),
        # source: common practice of schools
        (boards.SCHOOL_TRIPLE_JUMP_BOARDS_CM, (700, 900, 1100, 1300)),
        # source: a coaching book for ages 11 to 13
        (boards.PHASE_SHARES_PERCENT, (37, 30, 33)),
    ],
)
def test_runway_board_sand_and_gauge(value, expected):
    assert value == expected


def test_the_phase_shares_are_a_whole_jump():
    assert sum(boards.PHASE_SHARES_PERCENT) == 100


# source: US school summary of the jumps: triple-jump lines at about 24 and 32 ft, long-jump lines at 8 and 12 ft
@pytest.mark.parametrize(("feet", "cm"), [("24-00", 731), ("32-00", 975), ("8-00", 243), ("12-00", 365)])
def test_us_school_lines_in_centimetres(feet, cm):
    assert mark_in_cm(parse_mark(feet, Unit.QUARTER_INCH), Unit.QUARTER_INCH) == cm


@pytest.mark.parametrize(
    ("field", "value"),
    [
        # source: text of rule 180.17 in a US body's rule book of about 2018: the yellow flag for the last 15 s
        ("warning_seconds", 15),
        # source: from memory; that book had 30 s with more than three athletes left
        ("trial_seconds", 60),
        # source: from memory
        ("consecutive_seconds", 120),
        # source: WA TR 8, from memory: protests within 30 minutes of the announcement
        ("protest_minutes", 30),
        # source: as for the limit of the wind above
        ("wind_limit_tenths", 20),
        # source: field events, general conditions, trackathletics.tripod.com: the 8 best get three more
        ("rounds", 6),
        ("cuts", ((3, 8),)),
        # source: IAAF reports of qualifying rounds, Beijing 2015 and Moscow 2013: equal ones all go on
        ("ties_go_on", True),
    ],
)
def test_times_and_trials_of_the_international_rules(field, value):
    assert getattr(RULE_SETS["international"], field) == value
