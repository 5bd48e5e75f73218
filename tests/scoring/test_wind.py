from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.errors import NotAWind
from scoring.wind import NWI, Wind, WindStatus, gauge_to_tenths, parse_wind, show_wind, wind_status


@pytest.mark.parametrize(
    ("hundredths", "tenths"),
    [
        (203, 21),
        (200, 20),
        (201, 21),
        (-203, -20),
        (-209, -20),
        (-200, -20),
        (1, 1),
        (0, 0),
        (-1, 0),
        (-10, -1),
    ],
)
def test_reading_goes_up_to_the_next_tenth(hundredths, tenths):
    assert gauge_to_tenths(hundredths) == tenths


@pytest.mark.parametrize("hundredths", [2001, -2001])
def test_no_reading_beyond_twenty_metres_a_second(hundredths):
    with pytest.raises(NotAWind) as refusal:
        gauge_to_tenths(hundredths)
    assert refusal.value.value == hundredths


@pytest.mark.parametrize(
    ("text", "wind"),
    [
        ("+1.4", Wind(14)),
        ("1.4", Wind(14)),
        ("+1,4", Wind(14)),
        ("-0.3", Wind(-3)),
        ("−0.3", Wind(-3)),
        ("–0,3", Wind(-3)),
        ("- 0.3", Wind(-3)),
        ("0.0", Wind(0)),
        ("-0.0", Wind(0)),
        ("+2.00", Wind(20)),
        ("+2.03", Wind(21)),
        ("-2.03", Wind(-20)),
        ("-0.05", Wind(0)),
        ("+0.05", Wind(1)),
        ("+20.0", Wind(200)),
        ("-20.00", Wind(-200)),
        (" +1.4 m/s ", Wind(14)),
        ("+1.4\N{NO-BREAK SPACE}m/s", Wind(14)),
        ("NWI", NWI),
        ("nwi", NWI),
        (" Nwi ", NWI),
    ],
)
def test_typed(text, wind):
    assert parse_wind(text) == wind


@pytest.mark.parametrize(
    "text",
    [
        "",
        "+",
        "2",
        "+14",
        ".5",
        "+1.",
        "1.444",
        "1.4w",
        "++1.4",
        "+1.4\n",
        "\x001.4",
        "１.４",
        "1.4 2.0",
        "owed",
        "=",
    ],
)
def test_no_reading_is_refused(text):
    with pytest.raises(NotAWind) as refusal:
        parse_wind(text)
    assert (refusal.value.value, refusal.value.expected) == (
        text,
        "one decimal with its sign, for example +1.4, or NWI",
    )


@pytest.mark.parametrize("text", ["+20.1", "-20.1", "20.01", "99.9"])
def test_no_such_wind_is_refused(text):
    with pytest.raises(NotAWind) as refusal:
        parse_wind(text)
    assert (refusal.value.value, refusal.value.expected) == (text, "between -20.0 and +20.0 m/s")


@pytest.mark.parametrize("tenths", [201, -201])
def test_no_such_wind_can_be_built(tenths):
    with pytest.raises(NotAWind):
        Wind(tenths)


@pytest.mark.parametrize(
    ("wind", "limit_tenths", "status"),
    [
        (Wind(20), 20, WindStatus.LEGAL),
        (Wind(21), 20, WindStatus.WINDY),
        (Wind(-43), 20, WindStatus.LEGAL),
        (Wind(21), 40, WindStatus.LEGAL),
        (Wind(0), 20, WindStatus.LEGAL),
        (NWI, 20, WindStatus.NWI),
        (None, 20, WindStatus.OWED),
    ],
)
def test_status(wind, limit_tenths, status):
    assert wind_status(wind, limit_tenths) is status


def test_the_usual_limit_is_two_metres_a_second():
    assert (wind_status(Wind(20)), wind_status(Wind(21))) == (WindStatus.LEGAL, WindStatus.WINDY)


@pytest.mark.parametrize(
    ("wind", "shown"),
    [
        (Wind(14), "+1.4"),
        (Wind(-3), "-0.3"),
        (Wind(1), "+0.1"),
        (Wind(0), "0.0"),
        (Wind(123), "+12.3"),
        (NWI, "NWI"),
        (None, ""),
    ],
)
def test_shown(wind, shown):
    assert show_wind(wind) == shown


@given(st.integers(-2000, 2000))
def test_rounding_never_understates_a_tail_wind(hundredths):
    tenths = gauge_to_tenths(hundredths)
    assert hundredths <= tenths * 10 < hundredths + 10


@given(st.integers(-200, 200).map(Wind) | st.just(NWI))
def test_what_is_shown_is_read_back(wind):
    assert parse_wind(show_wind(wind)) == wind


@given(st.text(alphabet="0129.,+-− nwi\t٣") | st.text())
def test_any_text_is_a_wind_or_refused(text):
    with suppress(NotAWind):
        wind = parse_wind(text)
        assert wind is NWI or -200 <= wind.tenths <= 200
