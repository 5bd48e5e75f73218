"""Who is told of another phone that writes the same record, and who is not."""

from datetime import timedelta

from django.utils import timezone

from meets.models import Device, LogRow
from meets.running import actions
from tests.factories import EntryFactory, EventFactory, PitSessionFactory, SessionPartFactory
from tests.meets.pit.conftest import DESK_BY
from tests.meets.pit.phone.conftest import Pit
from tests.meets.pit.phone.test_views import heard, push, told_of_another
from tests.meets.pit.sync.phone import Phone, statuses


def test_two_event_codes_of_one_session_write_two_records(pit, event):
    other = EventFactory(meet=event.meet, discipline="LJ", boards_cm=[100], name="Other", age_group="U13")
    EntryFactory(event=other, bib="9", seed_mark=500, board_cm=None)
    actions.draw(event_id=other.pk, seed=7, **DESK_BY)
    SessionPartFactory(event=other, session=pit.session, block=2)
    one, two = Phone(pit.session, event=event), Phone(pit.session, event=other)
    one.jump(event, "1", 1)
    assert statuses(push(one)) == ["stored"]
    heard(one)
    heard(two)
    assert told_of_another(pit, two) == []


def test_entries_written_long_ago_that_come_now_are_no_work_beside(pit, event):
    """A phone whose battery was empty comes back charged and brings what it held an hour ago."""
    event.meet.date = timezone.now().date()
    event.meet.save()
    gone, goes_on = pit.phone("recorder"), Phone(pit.session)
    hour_ago = int((timezone.now() - timedelta(hours=1)).timestamp() * 1000)
    gone.jump(event, "1", 1, wall=hour_ago)
    assert statuses(push(gone)) == ["stored"]
    assert LogRow.objects.get(pk=gone.said[0]["id"]).at < timezone.now() - timedelta(minutes=59)
    heard(gone)
    heard(goes_on)
    assert told_of_another(pit, goes_on) == []


def test_a_phone_that_scans_its_code_again_is_not_told_of_itself(pit, event):
    first, again = pit.phone("recorder"), Phone(pit.session)
    first.jump(event, "1", 1)
    push(first)
    heard(first, minutes=1)
    heard(again)
    Device.objects.filter(pk=again.device.pk).update(came_in_at=timezone.now())
    assert told_of_another(pit, again) == []


def test_two_recorders_at_the_pit_that_a_flight_was_moved_to(pit, event):
    there = PitSessionFactory(pit__meet=event.meet, pit__name="Pit B")
    SessionPartFactory(event=EventFactory(meet=event.meet, discipline="LJ", age_group="U13"), session=there)
    ref = pit.phone("referee")
    ref.write(event, "flight_moved", {"flight": 1, "pit": there.pit.name}, reason="sand")
    assert statuses(ref.send_all()) == ["stored"]
    a, b = Phone(there), Phone(there)
    a.jump(event, "1", 1)
    assert statuses(push(a)) == ["stored"]
    heard(a)
    heard(b)
    assert len(told_of_another(Pit(pit.client, there, event), b)) == 1
