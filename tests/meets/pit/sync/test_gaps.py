"""What is missing is named by phone and number; an event is complete only when nothing is."""

import json
from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from meets.models import Delivery, SetAside
from meets.pit.problems import NotUnderstood
from meets.pit.sync.actions import push
from meets.pit.sync.bringers import bringer_of
from meets.pit.sync.contacts import contact, read_contact
from meets.pit.sync.epochs import current_epoch, new_epoch
from meets.pit.sync.message import read_batch
from meets.pit.sync.reads import Gap, close_out, included, missing
from meets.pit.sync.review import leave_out, settle_set_aside
from tests.factories import EntryFactory, EventFactory, SessionPartFactory
from tests.meets.pit.sync.phone import NOW, Phone

LATER = NOW + timedelta(minutes=5)


def say(phone, max_seq=None, unsent=0, now=NOW, **more):
    said = {"device": str(phone.device.pk), "epoch": str(phone.epoch), "unsent": unsent, "clock_off_ms": -2500}
    said |= {"max_seq": len(phone.said) if max_seq is None else max_seq, **more}
    return contact(said=read_contact(json.dumps(said)), caller=phone.caller, now=now)


def test_a_contact_is_noted(event, phone):
    phone.jump(event, "1", 1)
    answer = say(phone, unsent=1, app_version="7", official="N. Ewcorder")
    device = phone.device
    device.refresh_from_db()
    assert (device.last_contact, device.unsent, device.clock_off_s) == (NOW, 1, -3)
    assert (device.app_version, device.official) == ("7", "N. Ewcorder")
    assert (answer.have.upto, answer.have.holes, answer.server_epoch) == (0, ((1, 1),), current_epoch())
    phone.send_all()
    assert (say(phone).have.upto, say(phone).have.holes) == (1, ())


def test_a_version_changes_with_what_a_phone_shows(event, session, phone):
    def version():
        return say(phone).versions

    first = version()
    assert (list(first), version()) == ([str(session.pk)], first)
    phone.jump(event, "1", 1)
    phone.send_all()
    second = version()
    event.entries.filter(bib="1").update(bib="101")
    third = version()
    assert len({str(one) for one in (first, second, third)}) == 3


def test_a_phone_for_an_event_hears_of_its_sessions(event, session, db):
    other = EventFactory(meet=event.meet, discipline="LJ", age_group="U17")
    SessionPartFactory(event=other, session=session)
    phone = Phone(session, "recorder", event=event)
    assert list(say(phone).versions) == [str(session.pk)]


def test_gaps_are_named_by_phone_and_number(event, session, phone, second):
    for bib in "123":
        phone.jump(event, bib, 1)
    phone.send(phone.said[1])
    say(phone, now=LATER)
    name = (phone.device.number, "R. Corder", str(phone.epoch))
    gaps = (Gap(*name, 1, 1, LATER), Gap(*name, 3, 3, LATER))
    assert missing(event) == missing(session) == gaps
    said = f"Phone {phone.device.number} (R. Corder): entries 1, 3 have not come."
    assert (close_out(event).ok, close_out(event).says) == (False, (said,))
    phone.send_all()
    assert (missing(event), close_out(event).ok) == ((), True)


def test_what_a_wiped_phone_had_is_missing_until_somebody_brings_it(event, phone):
    for bib in "12":
        phone.jump(event, bib, 1)
    say(phone)
    old, phone.epoch, phone.said = (phone.epoch, phone.said), uuid4(), []
    phone.jump(event, "3", 1)
    phone.send_all()
    say(phone)
    assert [(gap.epoch, gap.first, gap.last) for gap in missing(event)] == [(str(old[0]), 1, 2)]
    assert included(phone.device) == {str(old[0]): 0, str(phone.epoch): 1}
    phone.epoch, phone.said = old
    phone.send_all()
    assert missing(event) == ()


def test_a_phone_that_has_not_sent_anything_since_it_said_so(event, phone):
    phone.jump(event, "1", 1)
    phone.send_all()
    say(phone, unsent=2, now=LATER)
    said = f"Phone {phone.device.number} (R. Corder) said that it has 2 entries to send."
    assert close_out(event).says == (said,)
    phone.jump(event, "2", 1)
    phone.send_all(now=LATER + timedelta(seconds=1))
    assert close_out(event).ok


def test_phones_of_other_pits_do_not_matter(event, phone):
    other = EventFactory(discipline="LJ", age_group="U17", meet=event.meet)
    elsewhere = Phone(SessionPartFactory(event=other).session)
    EntryFactory(event=other, bib="41")
    elsewhere.jump(other, "41", 1)
    say(elsewhere, unsent=1)
    assert (close_out(event).ok, close_out(other).ok) == (True, False)


def test_what_waits_and_what_clashes_stands_in_the_way(event, phone):
    first = phone.jump(event, "1", 9)
    phone.jump(event, "2", 1)
    phone.send_all()
    phone.send(phone.jump(event, "2", 1, 1, id=phone.said[1]["id"]))
    assert close_out(event).says == (
        "1 entry waits to be looked at.",
        f"1 entry of phone {phone.device.number} was set aside: it clashes with another.",
    )
    desk = {"by": "O. Rganiser", "reason": "typed twice", "now": LATER}
    leave_out(delivery=Delivery.objects.get(pk=first["id"]), **desk)
    settle_set_aside(set_aside=SetAside.objects.get(), **desk)
    assert close_out(event).ok


def test_a_dispute_stands_in_the_way(event, phone, second):
    phone.jump(event, "2", 1, 543)
    second.jump(event, "2", 1, 534)
    phone.send_all()
    second.send_all()
    assert close_out(event).says == ("Two records differ: bib 2. The referee decides.",)


def test_a_new_life_of_the_database_is_told(event, phone):
    phone.jump(event, "1", 1)
    first = phone.send_all().server_epoch
    assert phone.send_all().server_epoch == first == current_epoch()
    assert new_epoch(LATER + timedelta(days=400)) == phone.send_all().server_epoch != first


@pytest.mark.parametrize(
    "wrong", [{"unsent": -1}, {"max_seq": "3"}, {"device": "7"}, {"app_version": "x" * 41}, {"clock_off_ms": 1.5}]
)
def test_a_contact_that_is_none(event, phone, wrong):
    with pytest.raises(NotUnderstood) as raised:
        say(phone, **wrong)
    assert raised.value.field == next(iter(wrong))


@pytest.mark.parametrize("many", [1, 3])
def test_receiving_takes_no_more_statements_for_more_entries(event, phone, many):
    phone.jump(event, "3", 6)
    phone.send_all()
    for bib in "123"[:many]:
        phone.jump(event, bib, 1)
    bringer, batch = bringer_of(phone.caller), read_batch(phone.text(*phone.said[1:]))
    with CaptureQueriesContext(connection) as queries:
        push(batch=batch, bringer=bringer, now=NOW)
    # Over a network: a mark to go back to, what is asked, what is written, the mark given up.
    assert len(queries) == (4 if connection.vendor == "postgresql" else 9), "\n".join(query["sql"] for query in queries)
