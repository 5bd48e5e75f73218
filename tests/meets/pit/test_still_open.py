"""What nobody signs away unseen: owed winds, athletes to be confirmed, protests without a decision."""

import re

import pytest
from django.urls import reverse

from meets.models import Entry
from meets.pit.still_open import still_open
from meets.running import actions
from meets.running.reads import session_view
from scoring.state import Stage
from tests.factories import EntryFactory
from tests.meets.pit.conftest import PIT_BY


@pytest.fixture
def short(pit):
    """One round for nine, and one who was added at the pit."""
    actions.shorten(event_id=pit.event.pk, last_round=1, reason="buses", **PIT_BY)
    added = EntryFactory(event=pit.event, bib="77", seed_mark=None, board_cm=None, status=Entry.Status.PENDING)
    actions.add_at_pit(entry=added, flight=1, **PIT_BY)
    return pit


def jump_all(pit, no_wind=(), second=()):
    """`second`: bibs whose trials a second recorder writes too."""
    while pit.state.callable:
        turn = pit.up
        bib = pit.event.entries.get(pk=turn.entry).bib
        wind = "" if bib in no_wind else "+0.4"
        trial = f"{4 + int(bib) / 100:.2f}"
        said = {"event_id": pit.event.pk, "turn": turn, "trial": trial, "answered": True}
        if bib in second:
            actions.record_trial(**said, wind="", **{**PIT_BY, "recorder": actions.SECOND})
        actions.record_trial(**said, wind=wind, **PIT_BY)


def test_what_is_open_is_named_before_the_sheet_is_signed_and_stops_nobody(short, desk_client):
    jump_all(short, no_wind=("3", "5"))
    actions.lodge_protest(event_id=short.event.pk, name="line", entry=short.key("3"), who="Oak", reason="x", **PIT_BY)
    assert short.state.stage is Stage.FINISHED
    page = short.page("decide", short.event.pk)
    said = page.context["page"].still_open
    assert said[1:] == ("Bib 77 was added at the pit and waits for the desk to confirm.", "1 protest is not decided.")
    assert said[0].startswith("2 winds are owed, of bibs ")
    assert {"3", "5"} == set(said[0].partition("bibs ")[2].partition(":")[0].split(", "))
    assert all(sentence in page.content.decode() for sentence in said)
    desk = desk_client.get(reverse("desk:decide", args=[short.event.meet.slug, short.event.pk, "close"]))
    assert desk.status_code == 200
    assert all(sentence in desk.content.decode() for sentence in said)
    answers = {"do": "close", "version": short.state.version, "referee": "Mr Referton"}
    assert short.send("decide", short.event.pk, **answers).status_code == 302
    assert short.state.stage is Stage.CLOSED


@pytest.mark.parametrize("lacking", [{"5"}, {"3", "5"}, set()])
def test_what_one_of_two_recorders_has_not_is_named(short, lacking):
    jump_all(short, second={"1", "2", "3", "4", "5", "6", "7", "8", "9", "77"} - lacking)
    said = [one for one in short.page("decide", short.event.pk).context["page"].still_open if "record" in one]
    bibs = [
        re.fullmatch(r"Round 1 was written by two .*, but of bibs? (.+) there is one record only\.", one)[1]
        for one in said
    ]
    assert [set(one.split(", ")) for one in bibs] == [lacking] * bool(lacking)


def test_one_recorder_alone_lacks_nothing(short):
    jump_all(short)
    assert not any("record" in one for one in short.page("decide", short.event.pk).context["page"].still_open)


def test_nothing_is_named_where_nothing_is_open(pit):
    view = session_view(pit.session)
    assert still_open(pit.event, view.states[pit.event.pk], view.people[pit.event.pk]) == ()
