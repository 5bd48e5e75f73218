"""`draw`: every event that has not begun, the same from the same seed."""

from io import StringIO

import pytest
from django.core.management import call_command

from meets.running import actions
from meets.running.reads import state_of
from tests.factories import EntryFactory, EventFactory, MeetFactory
from tests.meets.running.test_event_day import PIT_BY

pytestmark = pytest.mark.django_db


@pytest.fixture
def meet():
    meet = MeetFactory(slug="spring")
    for discipline in ("LJ", "TJ"):
        event = EventFactory(meet=meet, discipline=discipline)
        for bib in range(1, 6):
            EntryFactory(event=event, bib=str(bib))
    return meet


def run(*arguments):
    out = StringIO()
    try:
        call_command("draw", *arguments, stdout=out, stderr=out)
    except SystemExit as end:
        return end.code, out.getvalue()
    return 0, out.getvalue()


def flights(meet):
    return [state_of(event).flights for event in meet.events.select_related("meet")]


def test_the_same_seed_draws_the_same_start_lists(meet):
    code, said = run("spring", "--seed", "7")
    first = flights(meet)
    assert code == 0
    assert [len(flight) for [flight] in first] == [5, 5]
    assert said.count("start list version 1") == 2
    run("spring", "--seed", "8")
    other = flights(meet)
    run("spring", "--seed", "7")
    assert flights(meet) == first != other


def test_an_event_that_has_begun_keeps_its_order(meet):
    run("spring", "--seed", "7")
    event = meet.events.first()
    before = flights(meet)
    turn = state_of(event).callable[0].turn
    actions.record_trial(event_id=event.pk, turn=turn, trial="x", answered=True, **PIT_BY)
    code, said = run("spring", "--seed", "8")
    assert code == 0
    assert flights(meet)[0] == before[0]
    assert "has begun, left as it is" in said


def test_nothing_to_draw_and_no_such_meet():
    MeetFactory(slug="empty")
    assert run("empty") == (1, "The meet has no events.\nNothing was drawn.\n")
    code, said = run("nowhere")
    assert (code, said.count("\n")) == (2, 1)
