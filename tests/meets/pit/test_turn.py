"""Putting right what was written: every way keeps the old row and needs its reason."""

import pytest

from meets.running import actions
from scoring.log import Turn
from scoring.trials import Result
from tests.meets.pit.conftest import DESK_BY, WRITER

WHITE = {"flag": "white", "digits": "443", "sign": "+", "tenths": "14"}


@pytest.fixture
def turn(pit):
    """The first turn, written as 4.43 with +1.4."""
    first = pit.up
    pit.record(**WHITE)
    return first


def seen(pit, turn):
    return pit.page("trial", *turn).context["page"].seen


def put_right(pit, turn, do, **answers):
    return pit.send("trial", *turn, do=do, **{"seen": seen(pit, turn), **answers})


def test_the_page_holds_what_stands(pit, turn):
    page = pit.page("trial", *turn).context
    assert (page["page"].trial.text, page["page"].trial.wind) == ("4.43", "+1.4")
    assert page["draft"].items == {"flag": "white", "digits": "4.43", "sign": "+", "tenths": "14"}


def test_digits_swapped(pit, turn):
    answers = {**WHITE, "digits": "434", "usual": "digits swapped"}
    assert put_right(pit, turn, "correct", **answers).status_code == 302
    trial = pit.state.entry(turn.entry).by_round[1]
    assert (trial.mark, trial.wind.tenths) == (434, 14)
    row = pit.event.log.filter(kind="jumped").last()
    assert (row.reason, row.by, len(row.supersedes)) == ("digits swapped", WRITER, 1)
    assert pit.event.log.filter(kind="wind_read").count() == 1


@pytest.mark.parametrize(
    ("answers", "wind"),
    [
        ({"sign": "-", "tenths": "14"}, -14),
        ({"sign": "none", "tenths": ""}, None),
        ({"sign": "", "tenths": ""}, 14),
    ],
)
def test_another_wind(pit, turn, answers, wind):
    put_right(pit, turn, "correct", **{**WHITE, **answers, "reason": "read with the wrong sign"})
    assert pit.state.entry(turn.entry).by_round[1].wind.tenths == wind


def test_a_white_flag_that_was_red_keeps_its_distance_for_a_protest(pit, turn):
    answers = {"flag": "red", "why": "line", "protest": "1", "digits": "443", "reason": "the judge reconsidered"}
    assert put_right(pit, turn, "correct", **answers).status_code == 302
    trial = pit.state.entry(turn.entry).by_round[1]
    assert (trial.result, trial.mark, trial.under_protest) == (Result.FAIL, 443, True)
    [protest] = pit.state.protests
    assert Turn(protest.entry, protest.round, protest.replacement) == turn


@pytest.mark.parametrize(
    ("answers", "field"),
    [
        ({**WHITE, "digits": "434"}, "reason"),
        ({**WHITE, "digits": "43", "reason": "misheard"}, "refusal"),
        ({**WHITE, "sign": "", "tenths": "9", "reason": "misheard"}, "refusal"),
        ({"reason": "misheard"}, "refusal"),
        ({"flag": "white", "reason": "misheard"}, "refusal"),
    ],
)
def test_what_cannot_be_corrected_is_said(pit, turn, answers, field):
    page = put_right(pit, turn, "correct", **answers)
    assert page.status_code == 422
    if field == "reason":
        assert page.context["forms"]["correct"].errors["reason"] == [
            "Choose or write the reason: it is kept in the log."
        ]
    else:
        assert page.context["refusal"]
    assert pit.state.entry(turn.entry).by_round[1].mark == 443


def test_somebody_else_jumped(pit, turn):
    other = pit.up.entry
    assert put_right(pit, turn, "move", to_entry=other, usual="wrong bib").status_code == 302
    assert pit.state.entry(other).by_round[1].mark == 443
    assert pit.up == turn


def test_a_trial_is_moved_to_somebody_of_this_event_only(pit, turn):
    page = put_right(pit, turn, "move", to_entry="999999", reason="wrong bib")
    assert page.status_code == 422
    assert list(page.context["forms"]["move"].errors) == ["to_entry"]


def test_a_replacement_trial_comes_before_any_other(pit, turn):
    assert put_right(pit, turn, "replace", usual="hampered").status_code == 302
    assert pit.up == turn._replace(replacement=1)
    assert pit.page("session").context["screen"].up.why == "replacement trial"


def test_typed_by_mistake_opens_the_turn_again(pit, turn):
    assert put_right(pit, turn, "take-back", reason="nobody jumped").status_code == 302
    assert pit.up == turn
    assert pit.event.log.filter(kind="jumped").count() == 1


def test_a_turn_without_a_trial_offers_a_replacement_only(pit):
    page = pit.page("trial", *pit.up)
    assert page.status_code == 200
    assert "It was written wrongly" not in page.content.decode()


def test_a_turn_of_another_session_is_not_found(pit):
    assert pit.page("trial", 999_999, 1, 0).status_code == 404


WAYS = {
    "correct": {**WHITE, "digits": "434", "usual": "digits swapped"},
    "replace": {"usual": "hampered"},
    "take-back": {"usual": "typed twice"},
    "move": {"usual": "wrong bib"},
}


@pytest.mark.parametrize("do", WAYS)
@pytest.mark.parametrize(
    ("meanwhile", "now"),
    [({"trial": "4.34"}, "4.34 +1.4"), ({"trial": "4.43", "wind": "-0.4"}, "4.43 −0.4"), ({"trial": "x"}, "x +1.4")],
)
def test_what_somebody_else_put_right_in_the_meantime_is_not_overwritten(pit, turn, do, meanwhile, now):
    before = seen(pit, turn)
    actions.correct_trial(event_id=pit.event.pk, turn=turn, reason="heard again", **meanwhile, **DESK_BY)
    stands = pit.state.entry(turn.entry).by_round[1]
    answers = {**WAYS[do], "seen": before} | ({"to_entry": pit.up.entry} if do == "move" else {})
    page = put_right(pit, turn, do, **answers)
    assert (page.status_code, page.context["refusal"]) == (
        422,
        f"Somebody has put this trial right in the meantime: now {now} stands. Look at it again, then decide.",
    )
    assert pit.state.entry(turn.entry).by_round[1] == stands
    assert page.context["page"].seen == seen(pit, turn) != before
    assert put_right(pit, turn, do, **{**answers, "seen": page.context["page"].seen}).status_code == 302


def test_what_was_typed_stays_in_the_form_when_somebody_was_quicker(pit, turn):
    before = seen(pit, turn)
    actions.void_trial(event_id=pit.event.pk, turn=turn, reason="typed twice", **DESK_BY)
    page = put_right(pit, turn, "correct", **WAYS["correct"], seen=before)
    assert (page.status_code, page.context["draft"].digits) == (422, "434")
    assert page.context["refusal"].startswith("Somebody has taken this trial back in the meantime")


@pytest.mark.parametrize("sent", ["", "nonsense", "\0", "1 2 3"])
def test_a_correction_that_does_not_say_what_was_seen_is_refused(pit, turn, sent):
    assert put_right(pit, turn, "correct", **WAYS["correct"], seen=sent).status_code == 422
    assert pit.state.entry(turn.entry).by_round[1].mark == 443
