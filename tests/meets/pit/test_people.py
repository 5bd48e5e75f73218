"""Athletes at the pit: here, not here, away, late, no more, another board."""

import pytest
from django.urls import reverse

from athletes.models import Discipline
from meets.running import actions
from meets.running.reads import state_of
from scoring.trials import FailReason, Result
from tests.factories import EntryFactory, EventFactory, PitSessionFactory, SessionPartFactory
from tests.meets.pit.conftest import DESK_BY, PIT_BY, WRITER, AtPit, play


def say(pit, entry, do, **more):
    return pit.send("athlete", entry, do=do, **more)


def test_everybody_with_the_turn_each_owes(pit):
    [group] = pit.page("everybody").context["groups"]
    assert len(group.lines) == 9
    assert {line.turn for line in group.lines} == {f"{key}-1-0" for key in map(pit.key, "123456789")}


def test_does_not_start_and_comes_after_all(pit):
    entry = pit.up.entry
    assert say(pit, entry, "not-here").status_code == 302
    assert pit.state.entry(entry).status == "DNS"
    assert pit.up.entry != entry
    assert say(pit, entry, "here").status_code == 302
    assert (pit.up.entry, pit.event.log.last().by) == (entry, WRITER)


def test_away_with_leave_and_back(pit):
    entry = pit.up.entry
    say(pit, entry, "away", where="pit 2", back_at="14:20")
    assert pit.state.entry(entry).away == "pit 2, 14:20"
    say(pit, entry, "back")
    assert (pit.up.entry, pit.state.entry(entry).away) == (entry, None)


@pytest.mark.parametrize(
    ("sign", "result", "reason"),
    [("-", Result.PASS, FailReason.NOT_STATED), ("x", Result.FAIL, FailReason.ABSENT)],
)
def test_absent_without_leave_is_written_as_the_rule_set_says(pit, sign, result, reason):
    pit.event.rule_changes = {"absent_without_leave": sign}
    pit.event.save()
    entry = pit.up.entry
    assert say(pit, entry, "absent").status_code == 302
    trial = pit.state.entry(entry).by_round[1]
    assert (trial.result, trial.reason) == (result, reason)


def test_absent_needs_a_turn(pit):
    entry = pit.up.entry
    actions.did_not_start(event_id=pit.event.pk, entry=entry, **PIT_BY)
    page = say(pit, entry, "absent")
    assert (page.status_code, page.context["refusal"]) == (422, "This athlete has no turn now.")


def test_joins_late_in_round_two(pit):
    entry = pit.up.entry
    actions.did_not_start(event_id=pit.event.pk, entry=entry, **PIT_BY)
    play(pit.event, until_round=1)
    assert say(pit, entry, "late", round="2", reason="the minibus was late").status_code == 302
    assert pit.up.round == 2
    assert pit.state.entry(entry).joined_round == 2
    assert say(pit, entry, "late", round="soon").status_code == 422


def test_takes_no_more_trials(pit):
    entry = pit.up.entry
    play(pit.event, until_round=1)
    say(pit, entry, "no-more", reason="a heel")
    assert pit.state.entry(entry).finished
    assert pit.event.log.last().reason == "a heel"


@pytest.fixture
def triple(desk_client, db):
    event = EventFactory(discipline=Discipline.TRIPLE_JUMP, boards_cm=[700, 900])
    EntryFactory(event=event, bib="5", seed_mark=1080, board_cm=900)
    session = PitSessionFactory(pit__meet=event.meet)
    SessionPartFactory(event=event, session=session)
    actions.draw(event_id=event.pk, seed=1, **DESK_BY)
    desk_client.post(reverse("pit:writer"), {"name": WRITER})
    return AtPit(desk_client, session, event)


def test_another_board_from_the_next_trial_on(triple):
    entry = triple.key("5")
    page = say(triple, entry, "board", board_cm="700").context
    assert page["asks"] == "Board 7 m, known reach 10.80 m: the step would land in the sand, at 7.24 m."
    assert state_of(triple.event).entry(entry).board_cm == 900
    assert say(triple, entry, "board", board_cm="700", answered="1").status_code == 302
    assert state_of(triple.event).entry(entry).board_cm == 700


def test_a_board_of_another_distance_is_typed_in_metres(triple):
    entry = triple.key("5")
    assert say(triple, entry, "board", other="8,50").status_code == 302
    assert state_of(triple.event).entry(entry).board_cm == 850
    assert say(triple, entry, "board", other="far").status_code == 422
    assert say(triple, entry, "board").status_code == 422


def test_an_athlete_of_another_session_is_not_found(pit):
    elsewhere = EntryFactory(event__discipline="LJ")
    assert pit.page("athlete", elsewhere.pk).status_code == 404


def test_what_is_not_known_changes_nothing(pit):
    version = pit.state.version
    assert say(pit, pit.up.entry, "promote").status_code == 200
    assert pit.state.version == version


@pytest.mark.parametrize("name", ["everybody", "places", "session"])
def test_a_guest_is_named_as_a_guest_wherever_athletes_are_listed(pit, name):
    assert "guest" not in pit.page(name).content.decode()
    pit.event.entries.update(guest=True)
    assert "guest" in pit.page(name).content.decode()
    assert "guest" in pit.page("athlete", pit.key("1")).content.decode()


def test_where_there_is_one_board_there_is_no_choice(pit):
    pit.session.pit.boards_cm = [100, 900]
    pit.session.pit.save()
    pit.event.boards_cm = []
    pit.event.save()
    page = pit.page("athlete", pit.key("1"))
    assert (page.context["page"].only_board, 'name="board_cm"' in page.content.decode()) == ("1 m", False)
    assert pit.page("session").context["screen"].up.board == "1 m"
