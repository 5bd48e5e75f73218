"""Readiness, stop and go on, winds, trials, cut, order, the signed sheet."""

import pytest
from django.urls import reverse

from meets.pit.decisions.actions import fill_winds
from meets.running import actions
from scoring.state import Stage
from tests.factories import EntryFactory, EventFactory, SessionPartFactory
from tests.meets.pit.conftest import DESK_BY, PIT_BY, WRITER, play

REFEREE = "Mr Referton"


def decide(pit, do, **answers):
    return pit.send("decide", pit.event.pk, do=do, version=pit.state.version, **answers)


def test_sand_and_board_are_signed_off_by_name(unready):
    assert unready.send("ready", board_100="1.01", referee=REFEREE).status_code == 302
    assert unready.state.ready
    rows = unready.event.log.filter(kind__in=("readiness_signed", "board_checked"))
    assert {(row.kind, row.by) for row in rows} == {("readiness_signed", REFEREE), ("board_checked", REFEREE)}


def test_a_board_that_is_off_is_asked_about_before_it_is_stored(unready):
    page = unready.send("ready", board_100="1.10", referee=REFEREE)
    assert page.context["off"] == [
        "The board at 1.00 m was measured as 1.10 m. Is the tape hooked right? Measure again."
    ]
    assert not unready.state.ready
    assert unready.send("ready", board_100="1.10", referee=REFEREE, answered="1").status_code == 302
    assert [alarm.values for alarm in unready.state.alarms] == [{"board": "1.00", "measured": "1.10"}]


def test_a_board_check_alone_signs_nothing(unready):
    assert unready.send("ready", board_100="1.00").status_code == 302
    assert not unready.state.ready
    assert unready.event.log.get(kind="board_checked").by == WRITER
    assert unready.send("ready").status_code == 422


def test_stop_and_go_on_hold_for_every_event_of_the_session(pit):
    other = EventFactory(meet=pit.event.meet, discipline="LJ", age_group="U11")
    EntryFactory(event=other)
    SessionPartFactory(event=other, session=pit.session, position=1)
    actions.draw(event_id=other.pk, seed=1, **DESK_BY)
    pit.send("stop", do="stop", reason="a dog in the sand")
    assert pit.state.stage is Stage.SUSPENDED
    assert other.log.get(kind="suspended").values == {"safety": True}
    assert pit.page("session").context["screen"].stopped == ("a dog in the sand",)
    pit.send("stop", do="stop")
    assert other.log.filter(kind="suspended").count() == 1
    pit.send("stop", do="go-on")
    assert pit.state.stage is Stage.DRAWN
    assert pit.page("session").context["screen"].stopped == ()


def test_looking_at_the_stop_page_stops_nothing(pit):
    assert pit.page("stop").status_code == 200
    assert pit.state.stage is Stage.DRAWN


def test_winds_that_were_owed_are_filled_in_later(pit):
    first, second = (turn.turn for turn in pit.state.callable[:2])
    for turn, digits in ((first, "443"), (second, "432")):
        pit.record(turn, flag="white", digits=digits, sign="later", answered="1")
    assert pit.page("session").context["screen"].owed == 2
    answers = {pit.turn_name(first): "-3", pit.turn_name(second): ""}
    assert pit.send("winds", do="fill", **answers).status_code == 302
    assert pit.state.entry(first.entry).by_round[1].wind.tenths == -3
    assert pit.state.owed_winds == (second,)


@pytest.mark.parametrize("typed", ["14", "1.4", "windy", "+"])
def test_a_wind_without_its_sign_is_asked_again_and_none_is_stored(pit, typed):
    first, second = (turn.turn for turn in pit.state.callable[:2])
    for turn, digits in ((first, "443"), (second, "432")):
        pit.record(turn, flag="white", digits=digits, sign="later", answered="1")
    page = pit.send("winds", do="fill", **{pit.turn_name(first): "+3", pit.turn_name(second): typed})
    assert page.status_code == 422
    assert list(page.context["form"].errors) == [pit.turn_name(second)]
    assert len(pit.state.owed_winds) == 2


def test_no_gauge_from_here_on_and_a_gauge_again(pit):
    pit.send("winds", do="no-gauge", reason="battery empty")
    assert pit.state.no_gauge
    page = pit.page("session", turn=pit.turn_name(), flag="white", digits="443")
    assert page.context["step"] == "confirm"
    pit.record(flag="white", digits="443")
    assert pit.state.owed_winds == ()
    pit.send("winds", do="gauge-again")
    assert not pit.state.no_gauge


@pytest.mark.parametrize("gauge", ["", "none", "None", " - "])
def test_a_pit_without_a_gauge_is_offered_to_say_so_once_and_is_then_not_asked(pit, gauge):
    pit.session.pit.gauge = gauge
    pit.session.pit.save()
    page = pit.page("session")
    assert page.context["screen"].offer_no_gauge
    assert page.content.decode().count("No wind gauge here") == 1
    answer = pit.send("winds", do="no-gauge", reason="no gauge at this pit", back="screen")
    assert (answer.status_code, answer.url) == (302, reverse("pit:session", args=[pit.session.pk]))
    row = pit.event.log.get(kind="no_gauge")
    assert (row.by, row.reason) == (WRITER, "no gauge at this pit")
    assert not pit.page("session").context["screen"].offer_no_gauge
    pit.record(flag="white", digits="443")
    assert (pit.state.owed_winds, pit.state.stage) == ((), Stage.IN_PROGRESS)
    pit.send("winds", do="gauge-again")
    assert not pit.page("session").context["screen"].offer_no_gauge


def test_a_pit_with_a_gauge_or_with_a_reading_is_not_offered_to_do_without(pit):
    assert not pit.page("session").context["screen"].offer_no_gauge
    pit.record(flag="white", digits="443", sign="+", tenths="4")
    pit.session.pit.gauge = ""
    pit.session.pit.save()
    assert not pit.page("session").context["screen"].offer_no_gauge


def test_trials_cut_and_order_with_the_name_of_the_referee(pit):
    play(pit.event)
    page = pit.page("decide", pit.event.pk).context["page"]
    assert page.trials == "9 started, more than 8: the best 8 after round 3 take 6 trials."
    assert decide(pit, "trials").status_code == 422
    assert decide(pit, "trials", referee=REFEREE).status_code == 302
    page = pit.page("decide", pit.event.pk).context["page"]
    assert (page.cut_round, len(page.order), [v.goes_on for v in page.verdicts].count(False)) == (3, 8, 1)
    [out] = [verdict.sentence for verdict in page.verdicts if not verdict.goes_on]
    assert out.startswith("Out: 9th with ")
    assert decide(pit, "cut", referee=REFEREE).status_code == 302
    assert pit.event.log.get(kind="cut_taken").by == REFEREE
    assert [turn.turn.entry for turn in pit.state.callable][:8] == [person.entry for person in page.order]


def test_a_cut_looked_at_before_somebody_recorded_is_not_taken(pit):
    play(pit.event)
    actions.confirm_trials(event_id=pit.event.pk, **DESK_BY)
    seen = pit.state.version
    actions.no_gauge(event_id=pit.event.pk, **PIT_BY)
    page = pit.send("decide", pit.event.pk, do="cut", version=seen, referee=REFEREE)
    assert (page.status_code, page.context["refusal"]) == (
        422,
        "Somebody has recorded in the meantime. Look at the page again, then decide.",
    )
    assert pit.state.cuts == ()


def test_another_cut_needs_its_reason(pit):
    play(pit.event)
    actions.confirm_trials(event_id=pit.event.pk, **DESK_BY)
    going_on = [str(entry.line.entry) for entry in pit.state.entries][:5]
    asked = {"referee": REFEREE, "otherwise": "1", "going_on": going_on}
    assert "reason" in decide(pit, "cut", **asked).context["refusal"]
    assert decide(pit, "cut", reason="buses at half past three", **asked).status_code == 302
    assert set(pit.state.cuts[0].going_on) == set(going_on)


def test_without_a_cut_the_order_is_called(pit):
    for bib in "12":
        actions.did_not_start(event_id=pit.event.pk, entry=pit.key(bib), **PIT_BY)
    play(pit.event)
    decide(pit, "trials", referee=REFEREE)
    page = pit.page("decide", pit.event.pk).context["page"]
    assert (page.verdicts, page.order_round) == ((), 4)
    assert decide(pit, "order", referee=REFEREE).status_code == 302
    assert pit.up.round == 4


def test_the_sheet_is_signed_at_the_end(pit):
    play(pit.event)
    decide(pit, "trials", referee=REFEREE)
    decide(pit, "cut", referee=REFEREE)
    play(pit.event)
    assert pit.page("session").context["screen"].due[0].kind == "close"
    assert decide(pit, "close", referee=REFEREE).status_code == 302
    assert pit.state.stage is Stage.CLOSED
    assert pit.page("session").context["screen"].due == ()


def test_two_records_that_differ_are_shown_for_the_referee(pit):
    turn = pit.up
    pit.record(flag="white", digits="443", sign="+", tenths="4")
    second = {**PIT_BY, "recorder": actions.SECOND}
    actions.record_trial(event_id=pit.event.pk, turn=turn, trial="4.34", wind="+0.4", answered=True, **second)
    [(_person, shown, said)] = pit.page("decide", pit.event.pk).context["page"].disputes
    assert (shown, [one.text for one in said]) == (turn, ["4.43", "4.34"])


def test_places_say_why_and_what_the_referee_must_see(pit):
    play(pit.event, until_round=1)
    [event] = pit.page("places").context["events"]
    assert [line.place for line in event.lines] == [str(n) for n in range(1, 10)]
    assert event.lines[0].why == (f"Best {event.lines[0].best}.",)
    assert event.alarms == ()


def test_an_event_of_another_session_is_not_decided_here(pit):
    assert pit.page("decide", EventFactory().pk).status_code == 404


def test_a_wind_that_somebody_else_filled_in_is_not_overwritten(pit):
    first, second = (turn.turn for turn in pit.state.callable[:2])
    for turn, digits in ((first, "443"), (second, "432")):
        pit.record(turn, flag="white", digits=digits, sign="later", answered="1")
    actions.record_wind(event_id=pit.event.pk, turn=first, wind="+0.4", **DESK_BY)
    bib = pit.state.entry(first.entry).line.bib
    answers = {pit.turn_name(first): "+14", pit.turn_name(second): "-3"}
    page = pit.send("winds", do="fill", **answers)
    assert (page.status_code, page.context["refusal"]) == (
        422,
        f"Bib {bib}, round 1: somebody has written +0.4, not +1.4. If that is wrong, correct the trial.",
    )
    assert pit.state.owed_winds == (second,)
    assert pit.event.log.filter(kind="wind_read").count() == 1
    assert page.context["form"][pit.turn_name(second)].value() == "-3"


def test_a_wind_that_somebody_else_filled_in_alike_is_no_matter(pit):
    first, second = (turn.turn for turn in pit.state.callable[:2])
    for turn, digits in ((first, "443"), (second, "432")):
        pit.record(turn, flag="white", digits=digits, sign="later", answered="1")
    actions.record_wind(event_id=pit.event.pk, turn=first, wind="+1.4", **DESK_BY)
    assert pit.send("winds", do="fill", **{pit.turn_name(first): "+14", pit.turn_name(second): "-3"}).status_code == 302
    assert pit.state.owed_winds == ()


def test_a_wind_is_filled_in_only_while_it_is_owed(pit):
    turn = pit.up
    pit.record(turn, flag="white", digits="443", sign="+", tenths="4")
    with pytest.raises(actions.Overtaken):
        fill_winds(winds={(pit.event.pk, turn): "+1.4"}, by=WRITER, now=DESK_BY["now"])
