"""The outbox of a phone that cannot send, brought as a file."""

import json
from uuid import uuid4

import pytest

from meets.models import Delivery, Device, Stream
from meets.pit.sync.outbox_file import deliver_file
from meets.running.actions import Refusal
from tests.factories import MeetFactory
from tests.meets.pit.sync.phone import NOW, Phone


def saved(*phones: Phone) -> str:
    return json.dumps({"v": 1, "app": "1", "entries": [entry for phone in phones for entry in phone.said]})


def bring(text, meet, **more):
    return deliver_file(text=text, meet=meet, by="O. Rganiser", now=NOW, **more)


def test_the_desk_takes_a_file(event, phone):
    for bib in "123":
        phone.jump(event, bib, 1)
    phone.send(phone.said[1])
    phone.jump(event, "1", 9)
    done = bring(saved(phone), event.meet)
    assert (done.stored, done.known, done.waiting, done.clashing) == (2, 1, 1, 0)
    assert [(epoch, have.upto, have.holes) for epoch, have in done.have] == [(str(phone.epoch), 4, ())]
    assert set(Delivery.objects.values_list("brought_by", flat=True)) == {phone.device.pk}
    again = bring(saved(phone), event.meet)
    assert (again.stored, again.known, again.waiting) == (0, 3, 1)


def test_another_phone_brings_a_file_of_several_streams(event, phone, second):
    phone.jump(event, "1", 1)
    second.jump(event, "1", 1)
    before = (phone.epoch, phone.said)
    phone.epoch, phone.said = uuid4(), []
    phone.jump(event, "2", 1)
    entries = [*before[1], *phone.said, *second.said]
    done = bring(json.dumps({"entries": entries}), event.meet, device=second.device)
    assert (done.stored, Stream.objects.count()) == (3, 3)
    assert set(Delivery.objects.values_list("brought_by", flat=True)) == {second.device.pk}


def test_a_long_file_with_an_entry_a_line(event, phone):
    for n in range(120):
        phone.jump(event, "123"[n % 3], n % 6 + 1, 400 + n)
    done = bring("\n".join(map(json.dumps, phone.said)), event.meet)
    assert (done.stored, done.have[0][1].upto) == (120, 120)


def test_a_phone_that_this_database_does_not_know_any_more(event, phone, second):
    phone.jump(event, "1", 1)
    key, pk = phone.device.key, phone.device.pk
    phone.device.delete()
    done = bring(saved(phone), event.meet)
    assert done.stored == 1
    device = Device.objects.get(pk=pk)
    assert (device.key, device.official, device.number) == (key, "R. Corder", second.device.number + 1)


@pytest.mark.parametrize(("official", "kept"), [("R.\0 Corder\ud800", "R. Corder"), (7, ""), ("R" * 90, "R" * 80)])
def test_the_name_in_a_file_is_kept_as_it_can_be(event, phone, official, kept):
    entry = phone.jump(event, "1", 1)
    phone.device.delete()
    said = {name: value for name, value in entry.items() if name != "hash"} | {"official": official}
    bring(json.dumps({"entries": [said]}), event.meet)
    assert Device.objects.get(pk=entry["device"]).official == kept


def test_a_phone_of_another_meet(event, phone):
    phone.jump(event, "1", 1)
    with pytest.raises(Refusal, match="does not know"):
        bring(saved(phone), MeetFactory())
    assert Delivery.objects.count() == 0


@pytest.mark.parametrize("text", ["", "[]", "{}", "hello", '{"entries": []}', '{"entries": [7]}', '{"entries": [{}]}'])
def test_what_is_no_outbox_is_said(event, text):
    with pytest.raises(Refusal):
        bring(text, event.meet)
