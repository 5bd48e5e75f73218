"""Odd input to recording: what cannot be is refused with a short sentence and nothing is stored; the rest is asked."""

from dataclasses import replace

import pytest

from meets.models import LogRow
from meets.running import actions
from meets.running.actions import DESK, PIT, SECOND, NewRow, record
from meets.running.reads import state_of
from scoring.facts import (
    Abandoned,
    BoardChecked,
    BoardSet,
    CalledIn,
    Card,
    CheckedIn,
    CutTaken,
    FlightsMerged,
    Jumped,
    Left,
    TrialsConfirmed,
    WindRead,
)
from scoring.log import Turn
from scoring.trials import Result
from scoring.wind import NWI, Wind
from tests.factories import EntryFactory, EventFactory
from tests.meets.running.pit_work import DESK_BY, PIT_BY, jump

LONGEST_SENTENCE = 250
ID = "00000000-0000-4000-8000-000000000001"


def refused(call):
    before = LogRow.objects.count()
    with pytest.raises(actions.Refusal) as refusal:
        call()
    assert LogRow.objects.count() == before
    assert 10 < len(str(refusal.value)) < LONGEST_SENTENCE
    return str(refusal.value)


@pytest.mark.parametrize("answered", [True, False])
@pytest.mark.parametrize(
    "text",
    [
        "٥.٤٣", "５.４３", "5.43\0", "x" * 100_000, "9" * 100_000, "", " ", "\ud800", "-5.43", "1e3", "NaN", "5.4",
        "5.439", "0.00", "19.00", "x/5.43", "5.43w", "<b>5.43</b>", "=5.43",
    ],
    ids=ascii,
)  # fmt: skip
def test_texts_that_are_no_trial(event, up, text, answered):
    refused(lambda: actions.record_trial(event_id=event.pk, turn=up, trial=text, answered=answered, **PIT_BY))


@pytest.mark.parametrize(
    "wind", ["+-1", "٢", "+٢.١", "2", "++1.0", "1.2.3", "+20.1", "\0", "1" * 9999, "nwi\n.", "١.٢"], ids=ascii
)
def test_texts_that_are_no_wind(event, up, wind):
    refused(lambda: actions.record_trial(event_id=event.pk, turn=up, trial="5.00", wind=wind, answered=True, **PIT_BY))


@pytest.mark.parametrize(
    ("wind", "read"),
    [("1,2", Wind(12)), ("−1.2", Wind(-12)), ("+1.25", Wind(13)), ("-0.0", Wind(0)), ("NWI ", NWI), (" ", None)],
)
def test_winds_as_people_type_them(event, up, wind, read):
    actions.record_trial(event_id=event.pk, turn=up, trial="5.00", wind=wind, answered=True, **PIT_BY)
    assert state_of(event).entry(up.entry).by_round[1].wind == read


@pytest.mark.parametrize("answered", [True, False])
@pytest.mark.parametrize(
    ("round", "replacement"),
    [(99, 0), (0, 0), (-1, 0), (1, -1), (10**9, 0), (1, 10**12), (2**70, 0)],
)
def test_rounds_and_replacements_that_no_event_has(event, up, round, replacement, answered):
    turn = Turn(up.entry, round, replacement)
    refused(lambda: actions.record_trial(event_id=event.pk, turn=turn, trial="5.00", answered=answered, **PIT_BY))


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"trial": "9.90"}, "Bib %s: 9.90 cannot be; nobody has jumped over 9.50 m."),
        ({"trial": "5.00", "wind": "+20.1"}, "'+20.1' is no wind reading; expected between -20.0 and +20.0 m/s"),
        ({"trial": "5.00", "board_cm": 9000}, "A board lies between 1 cm and 20 m from the sand."),
    ],
)
def test_what_cannot_be_is_refused_before_anything_is_asked(event, asked, says):
    """Somebody out of order, which would be asked about."""
    other = state_of(event).callable[3].turn
    with pytest.raises(actions.Refusal) as refused:
        actions.record_trial(event_id=event.pk, turn=other, answered=False, **asked, **PIT_BY)
    bib = state_of(event).entry(other.entry).line.bib
    assert str(refused.value) == (says % bib if "%s" in says else says)


def test_the_longest_mark_is_that_of_the_rules_as_the_referee_changed_them(event, up):
    actions.change_rule(event_id=event.pk, field="longest_long_jump_cm", value="600", reason="beginners", **DESK_BY)
    with pytest.raises(actions.Refusal, match=r"nobody has jumped over 6\.00 m"):
        actions.record_trial(event_id=event.pk, turn=up, trial="6.01", answered=True, **PIT_BY)
    actions.change_rule(event_id=event.pk, field="longest_long_jump_cm", value="1000", reason="adults", **DESK_BY)
    assert actions.record_trial(event_id=event.pk, turn=up, trial="9.90", answered=True, **PIT_BY).recorded


def test_an_unknown_way_to_draw_is_refused_with_those_there_are(event):
    with pytest.raises(actions.Refusal) as refused:
        actions.draw(event_id=event.pk, method="nonsense", **DESK_BY)
    assert str(refused.value) == (
        "“nonsense” is no way to draw. Choose one of: lot, seeded, by-board, school-rotation."
    )


def test_a_replacement_that_nobody_gave_is_asked_about_then_recorded_and_an_alarm(event, up):
    turn = up._replace(replacement=5)
    outcome = actions.record_trial(event_id=event.pk, turn=turn, trial="5.00", answered=False, **PIT_BY)
    assert [question.kind for question in outcome.questions] == ["no turn"]
    assert actions.record_trial(event_id=event.pk, turn=turn, trial="5.00", answered=True, **PIT_BY).recorded
    assert [alarm.key for alarm in state_of(event).alarms] == [f"extra {up.entry} 1 5"]


@pytest.mark.parametrize("answered", [True, False])
def test_athletes_of_other_events_and_of_none(event, answered):
    stranger = EntryFactory()
    withdrawn = EntryFactory(event=event, bib="99", status="withdrawn")
    sentences = {
        refused(
            lambda key=key: actions.record_trial(
                event_id=event.pk, turn=Turn(key, 1), trial="5.00", answered=answered, **PIT_BY
            )
        )
        for key in (str(stranger.pk), "999999", "abc", "", "٣", str(2**80))
    }
    assert sentences == {f"This athlete is not entered in {event.name}."}
    said = refused(
        lambda: actions.record_trial(
            event_id=event.pk, turn=Turn(str(withdrawn.pk), 1), trial="5.00", answered=answered, **PIT_BY
        )
    )
    assert said == f"This athlete is withdrawn from {event.name}. Restore the entry at the desk first."


@pytest.mark.parametrize("board_cm", [0, -5, 2001, 10**6])
def test_boards_that_no_pit_has(event, up, board_cm):
    says = "A board lies between 1 cm and 20 m from the sand."
    asked = {"event_id": event.pk, "turn": up, "trial": "5.00", **PIT_BY}
    assert refused(lambda: actions.record_trial(board_cm=board_cm, answered=True, **asked)) == says
    actions.record_trial(answered=True, **asked)
    assert refused(lambda: actions.correct_trial(board_cm=board_cm, reason="wrong board", **asked)) == says


@pytest.mark.parametrize("text", ["-", "r", "o"])
def test_a_pass_is_not_under_protest(event, up, text):
    refused(
        lambda: actions.record_trial(
            event_id=event.pk, turn=up, trial=text, under_protest=True, answered=True, **PIT_BY
        )
    )


def row(fact, **more):
    return lambda event, up: record(
        event_id=event.pk, facts=[NewRow(replace(fact, entry=up.entry) if hasattr(fact, "entry") else fact, **more)],
        **PIT_BY,
    )  # fmt: skip


@pytest.mark.parametrize(
    "call",
    [
        lambda event, up: actions.join_late(event_id=event.pk, entry=up.entry, round=10**9, **PIT_BY),
        lambda event, up: actions.shorten(event_id=event.pk, last_round=0, reason="x", **PIT_BY),
        lambda event, up: actions.shorten(event_id=event.pk, last_round=-3, reason="x", **PIT_BY),
        lambda event, up: actions.abandon(event_id=event.pk, rounds_counted=-1, reason="x", **PIT_BY),
        lambda event, up: actions.change_rule(
            event_id=event.pk, field="rounds", value="1000000000", reason="x", **PIT_BY
        ),
        lambda event, up: actions.take_back(event_id=event.pk, row="garbage", reason="x", **PIT_BY),
        lambda event, up: actions.decide_protest(event_id=event.pk, name="nix", upheld=True, reason="x", **PIT_BY),
        lambda event, up: actions.give_replacement(event_id=event.pk, turn=Turn(up.entry, 99), reason="x", **PIT_BY),
        lambda event, up: actions.give_replacement(
            event_id=event.pk, turn=up._replace(replacement=7), reason="x", **PIT_BY
        ),
        lambda event, up: actions.move_trial(event_id=event.pk, turn=up, to_entry="z", reason="x", **PIT_BY),
        lambda event, up: actions.record_wind(event_id=event.pk, turn=Turn("77777", 1), wind="+1.0", **PIT_BY),
        lambda event, up: record(event_id=event.pk, facts=[NewRow(CheckedIn(up.entry), id=ID)] * 2, **PIT_BY),
        row(CheckedIn(""), id="nonsense"),
        row(CheckedIn(""), supersedes=("nonsense",), reason="x"),
        row(CheckedIn(""), supersedes=(ID,), reason="x"),
        row(CheckedIn(""), supersedes=(ID,), reason="x", id=ID),
        row(Left("", where="\0")),
        row(Left("", where="\ud800")),
        row(CheckedIn(""), reason="a\0"),
        row(WindRead("", -1, 5)),
        row(WindRead("", 1, 201)),
        row(BoardSet("", 0)),
        row(BoardChecked(-5, 3)),
        row(BoardChecked(100, 3000)),
        row(TrialsConfirmed(3, 10**9, False)),
        row(TrialsConfirmed(3, 0, False)),
        row(CutTaken(0, (), ())),
        row(FlightsMerged(0, ())),
        row(CalledIn("", -1)),
        row(Abandoned(-1)),
        row(Card("", "green")),
        row(Jumped("", 1, Result.MARK)),
        row(Jumped("", 1, Result.PASS, 500)),
        row(Jumped("", 1, Result.MARK, 951)),
    ],
)
def test_rows_that_cannot_be(event, up, call):
    refused(lambda: call(event, up))


def test_a_backslash_is_a_character_like_any_other(event, up):
    actions.leave(event_id=event.pk, entry=up.entry, where="\\u0000 & <b>", **PIT_BY)
    assert state_of(event).entry(up.entry).away == "\\u0000 & <b>"


def test_a_row_of_another_event_is_not_corrected(event, up):
    other = EventFactory(discipline="TJ")
    theirs = record(event_id=other.pk, facts=[NewRow(CheckedIn(str(EntryFactory(event=other).pk)))], **DESK_BY).rows
    says = "The row to be corrected is not in this event's log."
    new = NewRow(CheckedIn(up.entry), "x", theirs)
    assert refused(lambda: record(event_id=event.pk, facts=[new], **DESK_BY)) == says


def test_a_row_given_twice_is_stored_once(event, up):
    given = NewRow(CheckedIn(up.entry), id=ID)
    assert record(event_id=event.pk, facts=[given], **PIT_BY).rows == (ID,)
    said = refused(lambda: record(event_id=event.pk, facts=[given], **PIT_BY))
    assert said == "This row is recorded already."


# Two records


def test_a_second_record_is_compared_and_not_asked_whether_it_was_typed_twice(event, up):
    for recorder in (PIT, SECOND):
        outcome = actions.record_trial(
            event_id=event.pk, turn=up, trial="5.00", wind="+1.0", answered=False, **{**PIT_BY, "recorder": recorder}
        )
        assert outcome.recorded, outcome.questions
    (turn,) = state_of(event).entry(up.entry).turns
    assert (turn.confirmed, turn.disputed, turn.wind_disputed) == (True, False, False)


def test_the_same_mark_by_the_same_recorder_is_asked_about(event, up):
    jump(event, "5.00")
    following = state_of(event).callable[0].turn
    outcome = actions.record_trial(event_id=event.pk, turn=following, trial="5.00", answered=False, **PIT_BY)
    assert [question.kind for question in outcome.questions] == ["same mark"]
    other = {**PIT_BY, "recorder": DESK}
    assert actions.record_trial(event_id=event.pk, turn=following, trial="5.00", answered=False, **other).recorded


def test_the_last_readings_are_those_written_down_last_whatever_the_order_of_the_draw(event):
    for wind in ("+0.5", "+0.6", "+0.7"):
        jump(event, "5.00", wind)
    for _ in range(3):
        jump(event, "x", "+1.8")
    following = state_of(event).callable[0].turn
    outcome = actions.record_trial(
        event_id=event.pk, turn=following, trial="5.01", wind="+1.8", answered=False, **PIT_BY
    )
    assert [question.kind for question in outcome.questions] == ["stale wind"]


@pytest.mark.parametrize(("second", "disputed"), [("+1.0", False), ("+1.1", True)])
def test_two_readings_of_a_wind_are_two_records(event, up, second, disputed):
    jump(event, "5.00", "")
    for recorder, wind in ((PIT, "+1.0"), (SECOND, second)):
        actions.record_wind(event_id=event.pk, turn=up, wind=wind, **{**PIT_BY, "recorder": recorder})
    assert (state_of(event).disputes == (up,)) is disputed
    says = refused(lambda: actions.record_wind(event_id=event.pk, turn=up, wind="+1.2", **PIT_BY))
    assert says == "A correction needs its reason."
    actions.record_wind(event_id=event.pk, turn=up, wind="+1.1", reason="gauge read again", **DESK_BY)
    assert (state_of(event).disputes, state_of(event).entry(up.entry).by_round[1].wind) == ((), Wind(11))


def test_a_wind_that_came_before_its_mark_is_corrected_like_any(event, up):
    actions.record_wind(event_id=event.pk, turn=up, wind="+1.0", **PIT_BY)
    assert "reason" in refused(lambda: actions.record_wind(event_id=event.pk, turn=up, wind="+1.4", **PIT_BY))
    actions.record_wind(event_id=event.pk, turn=up, wind="+1.4", reason="sign", **PIT_BY)
    jump(event, "5.00", "")
    assert (state_of(event).disputes, state_of(event).entry(up.entry).by_round[1].wind) == ((), Wind(14))
