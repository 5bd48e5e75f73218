"""Bands of marks and winds that raise a question: for every value they say what the rule says of that value alone."""

from statistics import median

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.bands import FIELD_MARKS, Guess, mark_bands, mark_in_quarter_inches_above, marks_inside, wind_bands
from scoring.event import replay
from scoring.facts import Drawn, Jumped
from scoring.log import Row, Turn
from scoring.marks import Unit, mark_in_cm
from scoring.rulesets import rule_set
from scoring.slips import questions
from scoring.state import StartLine
from scoring.trials import Result, Trial

LONGEST = 950
RULES = rule_set("three-only")
MARKS = st.integers(1, LONGEST)


def state_with(own, others, unit=Unit.CM):
    lines = [StartLine("a", "31"), *(StartLine(f"o{n}", str(n)) for n in range(len(others)))]
    facts = [Drawn((tuple(line.entry for line in lines),))]
    facts += [Jumped("a", round, Result.MARK, mark) for round, mark in enumerate(own, 1)]
    facts += [Jumped(f"o{n}", 1, Result.MARK, mark) for n, mark in enumerate(others)]
    return replay(lines, [Row(str(rev), rev, fact) for rev, fact in enumerate(facts, 1)], RULES, unit=unit)


def said_of(mark, own, others, seed, unit, board_cm, sand_cm):
    """The rule for one mark, in the words of whoever asks with the mark in hand: kind and guess."""
    own_cm, cm = [mark_in_cm(m, unit) for m in own], mark_in_cm(mark, unit)
    seed_cm = mark_in_cm(seed, unit) if seed else None
    known = [*own_cm, *([seed_cm] if seed_cm else [])]
    usual = median([*own_cm, *([seed_cm * 97 / 100] if seed_cm else [])]) if known else None
    field = [mark_in_cm(m, unit) for m in others]
    metre = None
    if usual is not None and unit is Unit.CM and abs(cm - usual) > 72:
        near = [guess for guess in (cm - 100, cm + 100) if guess > 0 and abs(guess - usual) <= 28]
        metre = near[0] if near else None
    if board_cm is not None and sand_cm is not None and not board_cm <= cm <= board_cm + sand_cm:
        return "cannot be", metre
    if usual is None:
        return None
    if metre is not None:
        return "metre", metre
    best = max(known)
    text = str(mark)
    swaps = {text[: i - 1] + text[i] + text[i - 1] + text[i + 1 :] for i in range(1, len(text))} - {text}
    slipped = [*sorted(int(swap) for swap in swaps if swap[0] != "0"), mark + 100] if unit is Unit.CM else []
    fits = [m for m in slipped if best - 120 <= m <= best + 40]
    most = max(best + 40, max(field) if not seed and len(field) >= FIELD_MARKS else 0)
    if cm > most:
        return "above", fits[0] if fits else None
    if cm < best - 120 and (fits or cm < best - best / 3):
        return "below", fits[0] if fits else None
    return None


def banded(bands, mark):
    found = [band for band in bands if band.low <= mark <= band.high]
    assert len(found) <= 1
    return (found[0].kind, found[0].guess.of(mark) if found[0].guess else None) if found else None


@given(
    own=st.lists(MARKS, max_size=2),
    others=st.lists(MARKS, max_size=FIELD_MARKS + 1),
    seed=st.none() | MARKS,
    unit=st.sampled_from(list(Unit)),
    board_cm=st.none() | st.sampled_from((100, 300)),
    sand_cm=st.none() | st.sampled_from((300, 500)),
)
def test_bands_say_of_every_mark_what_the_rule_says(own, others, seed, unit, board_cm, sand_cm):
    state = state_with(own, others, unit)
    known = {"board_cm": board_cm, "seed_mark": seed, "unit": unit, "sand_cm": sand_cm}
    bands = mark_bands(state, Turn("a", 3), longest=LONGEST, **known)
    for mark in range(1, LONGEST + 1):
        assert banded(bands, mark) == said_of(mark, own, others, seed, unit, board_cm, sand_cm), mark
    assert list(bands) == sorted(bands, key=lambda band: band.low)


@given(own=st.lists(st.integers(300, 700), max_size=2), seed=st.none() | st.integers(300, 700), mark=MARKS)
def test_who_asks_with_the_mark_in_hand_asks_the_same(own, seed, mark):
    state = state_with(own, ())
    bands = mark_bands(state, Turn("a", 3), longest=LONGEST, seed_mark=seed)
    asked = questions(state, Turn("a", 3), Trial(Result.MARK, mark), seed_mark=seed, in_call_order=False)
    assert next(((q.kind, q.guess) for q in asked), None) == banded(bands, mark)


def test_a_long_series_of_bands_stays_short():
    """A phone is sent a few lines for each athlete: swapped digits are a rule, not a list."""
    bands = mark_bands(state_with([1700], ()), Turn("a", 2), longest=1900, seed_mark=1720)
    assert len(bands) < 20


@pytest.mark.parametrize(
    ("guess", "mark", "meant"),
    [
        (Guess(-100), 643, 543),
        (Guess(100, (423, 583)), 345, 435),
        (Guess(100, (423, 583)), 412, 512),
        (Guess(100, (480, 600)), 912, None),
        (Guess(100, (1, 99)), 10, None),  # 01 is no mark
        (Guess(100, (400, 700)), 565, 556),  # both exchanges fit: the smaller one
    ],
)
def test_what_may_have_been_meant(guess, mark, meant):
    assert guess.of(mark) == meant


def test_the_sand_in_marks():
    assert marks_inside(100, 800) == (100, 900)
    assert marks_inside(100, 800, 80) == (100, 980)
    low, high = marks_inside(100, 800, unit=Unit.QUARTER_INCH)
    assert [mark_in_cm(mark, Unit.QUARTER_INCH) for mark in (low - 1, low, high, high + 1)] == [99, 100, 900, 901]


@given(st.integers(0, 2000))
def test_the_smallest_mark_of_so_many_centimetres(cm):
    mark = mark_in_quarter_inches_above(cm)
    assert mark_in_cm(mark, Unit.QUARTER_INCH) >= cm
    assert mark == 0 or mark_in_cm(mark - 1, Unit.QUARTER_INCH) < cm


def said_of_wind(tenths, last):
    recent = last[-5:]
    if len(recent) >= 2 and tenths and recent[-1] == recent[-2] == tenths:
        return "stale wind"
    if len(recent) >= 3:
        usual = (median(recent) + recent[-1]) / 2
        if tenths * usual < 0 and abs(tenths - usual) > RULES.ask_wind_flip_tenths:
            return "wind sign"
    return None


@given(st.lists(st.integers(-40, 40) | st.sampled_from((12, -7, 0)), max_size=7))
def test_bands_say_of_every_wind_what_the_rule_says(last):
    bands = wind_bands(last, RULES)
    for tenths in range(-200, 201):
        found = [band.kind for band in bands if band.low <= tenths <= band.high]
        assert found == ([said] if (said := said_of_wind(tenths, last)) else []), tenths
