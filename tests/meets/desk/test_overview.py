import pytest
from django.urls import reverse

from meets.desk.meet.overview import overview_of
from meets.field import disk
from meets.publishing.actions import publish
from meets.running.actions import correct_trial
from meets.running.reads import state_of
from scoring.log import Turn
from tests.factories import START, EntryFactory, EventFactory, SessionPartFactory
from tests.meets.desk.conftest import Played


def test_the_overview_says_the_same_as_the_event_itself(three):
    three.draw().jump("5.01+1.0")
    [line] = overview_of(three.event.meet)
    state = state_of(three.event)
    assert (line.stage, line.step.says, line.entered, line.pits) == ("in progress", "Round 1, 1 of 3.", 3, ("Pit 1",))
    assert (line.alarms, line.begun) == (len(state.alarms), True)


def test_events_stand_in_the_order_of_the_programme_with_what_is_next(meet):
    later = EventFactory(meet=meet, name="later", position=2, discipline="LJ", age_group="U13")
    EventFactory(meet=meet, name="first", position=1, discipline="TJ", age_group="U13")
    EntryFactory(event=later)
    assert [(line.event.name, line.step.says) for line in overview_of(meet)] == [
        ("first", "Nobody is entered."),
        ("later", "1 entered, not drawn."),
    ]


def test_without_a_start_of_its_own_an_event_starts_with_its_session(meet):
    part = SessionPartFactory(event__meet=meet, event__starts_at=None, session__starts_at=START)
    EventFactory(meet=meet, starts_at=None, position=part.event.position + 1)
    assert [line.starts_at for line in overview_of(meet)] == [START, None]


@pytest.mark.parametrize("rows", [1, 3])
def test_the_overview_asks_no_more_for_more_events_and_rows(desk_client, meet, django_assert_num_queries, rows):
    for _n in range(rows):
        part = SessionPartFactory(event__meet=meet, event__boards_cm=[200])
        for bib in range(rows):
            EntryFactory(event=part.event, bib=str(bib), board_cm=200)
        Played(part.event).draw().jump(*["4.01+1.0"] * rows)
    with django_assert_num_queries(14):
        answer = desk_client.get("/desk/spring-jumps/")
    assert len(answer.context["table"].rows) == rows


def test_a_refresh_gets_the_table_alone(desk_client, three):
    answer = desk_client.get("/desk/spring-jumps/", headers={"HX-Request": "true"})
    assert answer.templates[0].name == "desk/_overview.html"


def test_a_new_meet_says_what_is_to_be_set_up(desk_client, meet):
    assert "Before the day" in desk_client.get("/desk/spring-jumps/").content.decode()


def test_a_disk_that_is_nearly_full_stands_on_the_page_of_the_meet(desk_client, meet, monkeypatch):
    address = reverse("desk:meet", args=[meet.slug])
    assert "disk of this computer" not in desk_client.get(address).text
    monkeypatch.setattr(disk, "LOW_MB", disk.free_mb() + 1_000_000)
    assert "The disk of this computer has only" in desk_client.get(address).text


def test_a_server_that_keeps_nothing_on_its_own_disk_says_nothing_of_it(desk_client, meet, settings, tmp_path):
    settings.DATA_DIR = tmp_path / "none"
    assert desk_client.get(reverse("desk:meet", args=[meet.slug])).status_code == 200


@pytest.mark.parametrize("events", [1, 3])
def test_published_events_that_went_on_ask_no_more_than_others(desk_client, meet, django_assert_num_queries, events):
    meet.rule_set = "three-only"
    meet.save()
    for _n in range(events):
        part = SessionPartFactory(event__meet=meet, event__boards_cm=[200])
        EntryFactory(event=part.event, bib="1", board_cm=200)
        played = Played(part.event).draw().jump_by_bib({"1": "4.01 x 4.10"}, 3)
        publish(part.event, status="provisional", by="O. Rganiser", now=played.now)
        correct_trial(**played.who, turn=Turn(played.keys["1"], 1), trial="4.90", reason="misheard")
    with django_assert_num_queries(14):
        answer = desk_client.get("/desk/spring-jumps/")
    assert answer.text.count("Recorded since version 1 (provisional): publish it again.") == events
