"""The recorder's screen: who is up, what is asked, what is recorded and what is not."""

import re
from datetime import UTC, datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from meets.running import actions
from scoring.log import Turn
from scoring.trials import FailReason, Result
from tests.factories import EntryFactory, EventFactory, PitSessionFactory, SessionPartFactory
from tests.meets.pit.conftest import DESK_BY, PIT_BY, WRITER, play

SHOWN_STEP = re.compile(r'data-step="(\w+)"(?![^>]* hidden)')
WHITE = {"flag": "white", "digits": "443", "sign": "+", "tenths": "14"}


def test_nothing_is_written_before_somebody_says_who_writes(desk_client, session, event):
    address = reverse("pit:session", args=[session.pk])
    page = desk_client.get(address)
    assert next(template.name for template in page.templates) == "pit/writer.html"
    refused = desk_client.post(reverse("pit:record", args=[session.pk]), {"turn": "1-1-0", **WHITE})
    assert refused.status_code == 422
    assert not event.log.filter(kind="jumped").exists()
    answer = desk_client.post(reverse("pit:writer"), {"name": "  Ms   Amblewright ", "next": address})
    assert (answer.status_code, answer.url) == (302, address)
    assert desk_client.get(address).context["writer"] == "Ms Amblewright"


def test_the_name_of_the_writer_leads_nowhere_else(desk_client):
    answer = desk_client.post(reverse("pit:writer"), {"name": "A", "next": "https://example.org/"})
    assert answer.url == reverse("pit:sessions")
    assert desk_client.post(reverse("pit:writer"), {"name": " "}).status_code == 422


def test_the_screen_says_who_is_up_next_and_then(pit):
    screen = pit.page("session").context["screen"]
    called = [turn.turn.entry for turn in pit.state.callable[:3]]
    assert [screen.up.turn.entry, *(soon.person.entry for soon in screen.soon)] == called
    assert (screen.up.round, screen.up.number, screen.up.of, screen.up.board) == ("Round 1 of 3", 1, 9, "1 m")
    assert screen.last == ()


def test_a_whole_trial_by_forms_without_scripts(pit):
    turn, first = pit.turn_name(), pit.up
    steps = [
        ({}, "flag"),
        ({"flag": "white"}, "mark"),
        ({"flag": "white", "digits": "443"}, "wind"),
        ({"flag": "white", "digits": "443", "tenths": "14"}, "wind"),
        (WHITE, "confirm"),
    ]
    for answers, step in steps:
        page = pit.page("session", turn=turn, **answers)
        assert page.context["step"] == step
        assert SHOWN_STEP.findall(page.content.decode()) == [step]
    said = page.context["said"]
    assert (said.figures, said.wind) == ("4.43", "+1.4")
    assert not pit.event.log.filter(kind="jumped").exists()
    answer = pit.record(**WHITE)
    assert (answer.status_code, answer.url) == (302, reverse("pit:session", args=[pit.session.pk]))
    trial = pit.state.entry(first.entry).by_round[1]
    assert (trial.mark, trial.wind.tenths, trial.board_cm) == (443, 14, 100)
    row = pit.event.log.get(kind="jumped")
    assert (row.by, row.recorder) == (WRITER, "pit")


@pytest.mark.parametrize(
    ("answers", "result", "mark", "reason"),
    [
        ({"flag": "red", "why": "line"}, Result.FAIL, None, FailReason.LINE),
        ({"flag": "red", "why": "unsaid"}, Result.FAIL, None, FailReason.NOT_STATED),
        ({"flag": "pass"}, Result.PASS, None, FailReason.NOT_STATED),
        ({"flag": "retire"}, Result.RETIRED, None, FailReason.NOT_STATED),
        ({"flag": "unmeasured"}, Result.NOT_MEASURED, None, FailReason.NOT_STATED),
        ({"flag": "white", "digits": "443", "sign": "later"}, Result.MARK, 443, FailReason.NOT_STATED),
    ],
)
def test_every_flag(pit, answers, result, mark, reason):
    first = pit.up
    pit.record(**answers)
    trial = pit.state.entry(first.entry).by_round[1]
    assert (trial.result, trial.mark, trial.wind, trial.reason) == (result, mark, None, reason)


def test_a_red_flag_may_be_measured_under_protest(pit):
    first = pit.up
    pit.record(flag="red", protest="1", digits="443", sign="+", tenths="3")
    trial = pit.state.entry(first.entry).by_round[1]
    assert (trial.result, trial.mark, trial.under_protest) == (Result.FAIL, 443, True)
    [protest] = pit.state.protests
    assert (protest.entry, protest.upheld) == (first.entry, None)


def test_no_reading_is_not_an_owed_wind(pit):
    first = pit.up
    pit.record(flag="white", digits="443", sign="none")
    assert pit.state.entry(first.entry).by_round[1].wind.tenths is None
    assert pit.state.owed_winds == ()


@pytest.mark.parametrize(
    ("answers", "step"),
    [
        ({"flag": "white"}, "mark"),
        ({"flag": "white", "digits": "44"}, "mark"),
        ({"flag": "white", "digits": "443"}, "wind"),
        ({"flag": "white", "digits": "443", "tenths": "9"}, "wind"),
        ({"flag": "white", "digits": "990", "sign": "later", "answered": "1"}, "mark"),
    ],
)
def test_what_is_not_answered_is_asked_and_nothing_is_stored(pit, answers, step):
    page = pit.record(**answers)
    assert (page.status_code, page.context["step"]) == (422, step)
    assert not pit.event.log.filter(kind="jumped").exists()


def test_the_first_trial_before_the_sand_is_signed_off_is_asked_about_and_let_through(unready):
    page = unready.record(**WHITE)
    assert page.status_code == 422
    [asked] = page.context["questions"]
    assert asked.sentence.startswith("Nobody may jump yet: the sand has not been signed off.")
    assert unready.record(**WHITE, answered="1").status_code == 302
    assert unready.record(flag="white", digits="444", sign="-", tenths="2").status_code == 302
    assert unready.page("session").context["screen"].not_ready


def test_a_slip_is_asked_about_with_the_guess_as_a_button(pit):
    play(pit.event, until_round=1)
    first = pit.up
    page = pit.record(flag="white", digits="540", sign="+", tenths="9")
    [asked] = page.context["questions"]
    assert (asked.guess, asked.guess_shown) == (440, "4.40")
    assert pit.record(flag="white", digits="540", sign="+", tenths="9", guess="440").status_code == 302
    assert pit.state.entry(first.entry).by_round[2].mark == 440


def test_the_same_trial_sent_twice_is_recorded_once(pit):
    turn = pit.up
    assert pit.record(turn, **WHITE).status_code == 302
    assert pit.record(turn, **WHITE).status_code == 302
    assert pit.event.log.filter(kind="jumped").count() == 1


def test_another_trial_for_a_recorded_turn_is_refused_with_its_sentence(pit):
    turn = pit.up
    pit.record(turn, **WHITE)
    page = pit.record(turn, **{**WHITE, "digits": "512"}, answered="1")
    assert page.status_code == 422
    assert "already has a trial in round 1" in page.context["refusal"]
    html = page.content.decode()
    assert (">4.43<" in html, "data-steps" in html) == (True, False)
    assert reverse("pit:trial", args=[pit.session.pk, *turn]) in html


@pytest.mark.parametrize(
    "other", [{"sign": "-"}, {"tenths": "4"}, {"sign": "none", "tenths": ""}, {"flag": "red", "why": "line"}]
)
def test_another_wind_for_the_same_mark_is_not_taken_for_the_same_trial(pit, other):
    turn = pit.up
    pit.record(turn, **WHITE)
    page = pit.record(turn, **{**WHITE, **other}, answered="1")
    assert (page.status_code, pit.event.log.count()) == (422, pit.state.version)
    trial = pit.state.entry(turn.entry).by_round[1]
    assert (trial.mark, trial.wind.tenths) == (443, 14)


def test_somebody_who_jumped_out_of_order_is_chosen_and_not_asked_about(pit):
    second = pit.state.callable[1].turn
    page = pit.page("session", turn=pit.turn_name(second))
    assert (page.context["screen"].up.turn, page.context["picked"]) == (second, True)
    assert pit.record(second, **WHITE, picked="1").status_code == 302
    assert pit.state.entry(second.entry).by_round[1].mark == 443
    assert pit.up.entry != second.entry


def test_a_page_left_open_asks_when_somebody_else_is_up(pit):
    second = pit.state.callable[1].turn
    page = pit.record(second, **WHITE)
    assert [asked.sentence for asked in page.context["questions"]] == [
        f"Bib {pit.state.entry(pit.up.entry).line.bib} is up. "
        f"Did bib {pit.state.entry(second.entry).line.bib} jump out of order?"
    ]


def test_a_turn_of_another_event_is_not_recorded_here(pit):
    elsewhere = EntryFactory(event__meet=pit.event.meet, event__discipline="LJ", event__age_group="U11")
    assert pit.record(Turn(str(elsewhere.pk), 1), **WHITE).status_code == 302
    assert not elsewhere.event.log.exists()


def test_the_last_three_entries_newest_first(pit):
    turns = []
    for digits in ("441", "432", "423", "414"):
        turns.append(pit.up)
        pit.record(flag="white", digits=digits, sign="+", tenths="5", answered="1")
    last = pit.page("session").context["screen"].last
    assert [(one.turn, one.text) for one in last] == [(turns[3], "4.14"), (turns[2], "4.23"), (turns[1], "4.32")]


def test_round_after_round_until_the_referee_has_to_decide(pit):
    play(pit.event)
    page = pit.page("session")
    assert page.context["screen"].up is None
    assert [due.kind for due in page.context["screen"].due] == ["trials"]


def test_further_trials_are_counted_by_all_rounds(pit):
    play(pit.event)
    actions.confirm_trials(event_id=pit.event.pk, **DESK_BY)
    actions.take_cut(event_id=pit.event.pk, **DESK_BY)
    screen = pit.page("session").context["screen"]
    assert (screen.up.round, screen.up.number, screen.up.of) == ("Round 4 of 6", 1, 8)


def test_who_is_away_is_shown_as_away_wherever_they_went(pit):
    first = pit.up
    actions.leave(event_id=pit.event.pk, entry=first.entry, **PIT_BY)
    screen = pit.page("session").context["screen"]
    assert screen.up.turn.entry != first.entry
    assert [soon.person.entry for soon in screen.away] == [first.entry]


def test_two_age_groups_share_a_session(pit):
    younger = EventFactory(meet=pit.event.meet, discipline="LJ", age_group="U11", boards_cm=[100])
    for bib in ("51", "52"):
        EntryFactory(event=younger, bib=bib)
    SessionPartFactory(event=younger, session=pit.session, position=1)
    actions.draw(event_id=younger.pk, seed=1, **DESK_BY)
    play(pit.event, until_round=1)
    screen = pit.page("session").context["screen"]
    assert (screen.up.event, screen.several) == (younger.name, True)
    pit.record(screen.up.turn, **WHITE, answered="1")
    assert younger.log.filter(kind="jumped").count() == 1


def test_the_screen_asks_the_database_as_much_for_one_athlete_as_for_three(
    desk_client, session, event, django_assert_num_queries
):
    desk_client.post(reverse("pit:writer"), {"name": WRITER})
    address = reverse("pit:session", args=[session.pk])
    with CaptureQueriesContext(connection) as one:
        desk_client.get(address)
    play(event, until_round=2)
    for bib in range(20, 25):
        EntryFactory(event=event, bib=str(bib))
    with django_assert_num_queries(len(one)):
        desk_client.get(address)


def test_sessions_of_today_and_without_any_those_of_the_nearest_day(desk_client, session):
    lines = desk_client.get(reverse("pit:sessions")).context
    assert [line.session for line in lines["lines"]] == [session]
    assert lines["day"] == session.pit.meet.date


def test_sessions_of_two_meets_stand_under_their_own_meet(desk_client, session):
    other = PitSessionFactory(pit__meet__date=session.pit.meet.date)
    later = datetime(2027, 6, 12, 14, tzinfo=UTC)
    third = PitSessionFactory(pit=session.pit, starts_at=later)
    lines = desk_client.get(reverse("pit:sessions")).context["lines"]
    assert [line.session for line in lines] == [session, third, other]


def test_a_session_named_like_its_event_is_named_once_and_a_closed_one_says_so(pit, event):
    pit.session.name = event.name
    pit.session.save()
    [line] = pit.client.get(reverse("pit:sessions")).context["lines"]
    assert (line.events, line.closed) == ((), False)
    actions.abandon(event_id=event.pk, reason="thunder", **DESK_BY)
    page = pit.client.get(reverse("pit:sessions"))
    assert (page.context["lines"][0].closed, ">closed<" in page.content.decode()) == (True, True)


@pytest.mark.parametrize("rows", [1, 3])
def test_the_list_of_sessions_asks_as_much_for_one_as_for_three(desk_client, session, rows, django_assert_num_queries):
    for number in range(1, rows):
        extra = PitSessionFactory(pit=session.pit)
        other = EventFactory(meet=session.pit.meet, discipline="LJ", age_group=f"U{10 + number}")
        SessionPartFactory(event=other, session=extra)
    with django_assert_num_queries(10):
        assert len(desk_client.get(reverse("pit:sessions")).context["lines"]) == rows


def test_without_a_session_the_list_says_what_to_do(desk_client):
    page = desk_client.get(reverse("pit:sessions"))
    assert "No pit session is planned yet." in page.content.decode()


def test_in_an_open_pit_anybody_may_be_chosen_and_nobody_is_asked_about_the_order(pit):
    pit.event.rule_changes = {"call": "open pit", "cuts": "", "rounds": "3", "reorder_before": ""}
    pit.event.save()
    screen = pit.page("session").context["screen"]
    assert (screen.up, [one.person.bib for one in screen.open_pit]) == (None, list("123456789"))
    chosen = pit.state.callable[4].turn
    page = pit.page("session", turn=pit.turn_name(chosen)).context
    assert (page["screen"].up.turn, page["picked"], page["screen"].without_clock) == (chosen, False, True)
    assert pit.record(chosen, **WHITE).status_code == 302
    assert pit.state.entry(chosen.entry).by_round[1].mark == 443


@pytest.mark.parametrize(("consecutive", "seconds"), [(False, 60), (True, 120)])
def test_the_clock_has_the_time_of_the_rule_set(pit, consecutive, seconds):
    first = pit.up
    if consecutive:
        for bib in "123456789":
            if pit.key(bib) != first.entry:
                actions.did_not_start(event_id=pit.event.pk, entry=pit.key(bib), **PIT_BY)
        pit.record(**WHITE)
    up = pit.page("session").context["screen"].up
    assert (up.seconds, up.warning_seconds) == (seconds, 15)
