"""An older copy of the database is put under a server that goes on: what it kept in memory is not believed."""

from datetime import timedelta

import pytest
from django.db import connection

from meets.board.versions import look
from meets.models import Delivery, Stream
from meets.pit.sync.epochs import new_epoch
from meets.pit.sync.versions import versions_of
from meets.running.reads import state_of, states_of
from tests.conftest import lift_guard
from tests.meets.pit.sync.phone import NOW, statuses


def ruled_out(pit):
    """Whether bib 2 is disqualified: in the event, among the events of the meet, on the phone of a referee."""
    event, entry = pit.event, pit.key("2")
    of_meet = next(one.state for one in states_of(event.meet) if one.event == event)
    return [
        state_of(event).entry(entry).status == "DQ",
        of_meet.entry(entry).status == "DQ",
        pit.state("referee")["people"][entry]["status"] == "disqualified",
    ]


def told(pit):
    """What phones and the live pages compare."""
    board = look(pit.event.meet.slug)
    return board.events[pit.event.pk], board.whole, versions_of(pit.phone("referee").device.key)[str(pit.session.pk)]


@pytest.fixture
def before(pit):
    """A disqualification and a trial after it, seen by everybody; then a copy from before both is in place."""
    ruled = pit.phone("referee").write(pit.event, "disqualified", {"entry": pit.key("2")}, reason="danger")
    last = pit.phone("recorder").jump(pit.event, "1", 1)
    done = pit.phone("referee").send_all(), pit.phone("recorder").send_all()
    assert [*map(statuses, done)] == [["stored"], ["stored"]]
    assert ruled_out(pit) == [True, True, True]
    said = told(pit)
    gone = [ruled["id"], last["id"]]
    Delivery.objects.filter(pk__in=gone).delete()
    Stream.objects.update(upto=0, max_seq=0)
    lift_guard(connection)
    pit.event.log.filter(pk__in=gone)._raw_delete("default")
    return said


def test_the_same_last_row_behind_fewer_others(pit, before):
    assert statuses(pit.phone("recorder").send_all()) == ["stored"]
    assert ruled_out(pit) == [False, False, False]
    assert not {*told(pit)} & {*before}


def test_the_same_last_row_behind_as_many_others(pit, before):
    new_epoch(NOW + timedelta(days=365))
    assert statuses(pit.send("gauge", "wind_read", {"entry": pit.key("1"), "round": 1, "tenths": 4})) == ["stored"]
    assert statuses(pit.phone("recorder").send_all()) == ["stored"]
    assert ruled_out(pit) == [False, False, False]
    assert not {*told(pit)} & {*before}
