"""The list of phones: who is in, how each is doing, what is missing by name."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from meets.desk.phones.alike import alike_said
from meets.desk.phones.reads import phones_of, troubles_of
from meets.models import Stream
from meets.pit.keys.actions import revoke_device, revoke_key
from tests.factories import DeviceFactory, EventFactory, PitKeyFactory, SessionPartFactory
from tests.meets.desk.phones.conftest import clashes, says, waits
from tests.meets.pit.sync.phone import Phone

PAGE = "/desk/spring-jumps/phones/"


def line_of(phone):
    return next(line for line in phones_of(phone.device.meet, timezone.now()) if line.device == phone.device)


def test_without_phones_the_page_says_what_to_do(desk_client, meet):
    page = desk_client.get(PAGE).text
    assert "No phone yet" in page
    assert "/desk/spring-jumps/phones/codes/" in page


@pytest.mark.parametrize(
    ("stopped", "at"),
    [("2027-06-12T12:10Z", "13:07"), ("2027-06-12T23:01Z", "12 June, 23:58")],
    indirect=["stopped"],
)
def test_a_phone_stands_with_its_official_role_and_place(stopped, desk_client, event, phone, at):
    says(phone, ago=timedelta(minutes=3), off_s=-7500)
    line = line_of(phone)
    assert (line.roles, line.where, line.contact, line.silent) == (
        "recorder",
        "North pit, 11:00: Morning",
        "3 min ago",
        True,
    )
    assert (line.clock, line.entries, line.lost) == ("clock 2 h 5 min fast", f"all here as of {at}", False)
    page = desk_client.get(PAGE).text
    for words in ("Phone 1", "R. Corder", "3 min ago", "clock 2 h 5 min fast"):
        assert words in page


def at_work(session, *roles, official):
    phone = Phone(session, *roles)
    says(phone)
    type(phone.device).objects.filter(pk=phone.device.pk).update(official=official)
    return phone


def test_two_phones_for_one_record_are_named(desk_client, session, event):
    first, other = (at_work(session, "recorder", official=name) for name in ("Ms Amble", "Mr Birch"))
    at_work(session, "second", official="Ms Cole")
    sentence = (
        "North pit, 11:00: Morning: phone 1 (Ms Amble) and phone 2 (Mr Birch) are both there as recorder. "
        "Agree which of them writes this record: one only."
    )
    assert [sentence] == alike_said(phones_of(event.meet, timezone.now()))
    assert sentence in desk_client.get(PAGE, headers={"HX-Request": "true"}).text
    at_work(session, "recorder", official="Mx Dell")
    (three,) = alike_said(phones_of(event.meet, timezone.now()))
    assert "phone 1 (Ms Amble), phone 2 (Mr Birch) and phone 4 (Mx Dell) are there" in three
    for phone in (first, other):
        says(phone, ago=timedelta(minutes=3))
    assert alike_said(phones_of(event.meet, timezone.now())) == []


@pytest.mark.parametrize(
    ("roles", "named"),
    [
        (["second", "gauge"], "second recorder and wind gauge operator"),
        (["recorder", "second"], "recorder and second recorder"),
        (["second", "referee"], "referee and second recorder"),
    ],
)
def test_a_code_that_shows_the_first_record_to_a_second_recorder_is_named(desk_client, session, roles, named):
    """None is made today; an older database may hold one."""
    key = PitKeyFactory(session=session, roles=roles)
    sentence = (
        f"North pit, 11:00: Morning: one code is for {named}. It shows the first record, which the second recorder "
        "must not see. Make two codes, let the phones send what they hold, then take this one back."
    )
    for headers in ({}, {"HX-Request": "true"}):
        assert sentence in desk_client.get(PAGE, headers=headers).text
    revoke_key(key=key, now=timezone.now())
    assert "It shows the first record" not in desk_client.get(PAGE).text


@pytest.mark.parametrize("roles", [["second"], ["recorder", "gauge"], ["recorder", "referee"]])
def test_of_other_codes_nothing_is_said(desk_client, session, roles):
    PitKeyFactory(session=session, roles=roles)
    assert "It shows the first record" not in desk_client.get(PAGE).text


@pytest.mark.parametrize("roles", [["gauge"], ["referee"], ["recorder", "gauge"], ["display"]])
def test_of_other_phones_several_may_be_there(session, event, roles):
    for name in ("Ms Amble", "Mr Birch"):
        at_work(session, *roles, official=name)
    assert alike_said(phones_of(event.meet, timezone.now())) == []


def test_recorders_of_two_events_at_one_pit_are_two_records(session, event):
    for age_group in ("U13", "U17"):
        other = EventFactory(meet=event.meet, discipline="LJ", age_group=age_group)
        SessionPartFactory(event=other, session=session)
        phone = Phone(session, "recorder", event=other)
        says(phone)
    assert alike_said(phones_of(event.meet, timezone.now())) == []


@pytest.mark.parametrize(
    ("sent", "unsent", "max_seq", "words", "lost"),
    [
        ((1, 2, 3), 0, 3, "all here", False),
        ((1, 2), 1, 3, "1 not sent yet", False),
        ((), 3, 3, "3 not sent yet", False),
        ((1, 3), 0, 3, "entry 2 missing", True),
        ((1,), 0, 6, "entries 2–6 missing", True),
        ((1, 4), 2, 6, "entries 2–3, 5–6 missing", True),
        ((1, 4), 4, 6, "4 not sent yet", False),
    ],
)
def test_what_is_only_late_and_what_is_missing(event, phone, sent, unsent, max_seq, words, lost):
    for bib, round in (("1", 1), ("2", 1), ("3", 1), ("1", 2), ("2", 2), ("3", 2)):
        phone.jump(event, bib, round)
    for seq in sent:
        phone.send(phone.said[seq - 1], max_seq=seq)
    says(phone, unsent=unsent, max_seq=max_seq)
    line = line_of(phone)
    assert (line.entries, line.lost) == (words, lost)


def test_a_missing_entry_is_named_with_its_phone(desk_client, event, phone):
    said = [phone.jump(event, bib, 1) for bib in "123"]
    phone.send(said[0], said[2], max_seq=3)
    says(phone)
    sentence = "Phone 1 (R. Corder): entry 2 has not come, and the phone does not say that it holds it."
    assert sentence in desk_client.get(PAGE).text
    assert sentence in desk_client.get(PAGE, headers={"HX-Request": "true"}).text
    assert troubles_of(event.meet, timezone.now()) == [sentence]
    phone.send(said[1])
    assert troubles_of(event.meet, timezone.now()) == []


def test_what_a_wiped_phone_has_lost_stays_named(event, phone):
    for bib in "123":
        phone.jump(event, bib, 1)
    phone.send(phone.said[0], max_seq=3)
    says(phone, unsent=2)
    assert not line_of(phone).lost
    phone.epoch, phone.said = uuid4(), []
    says(phone, unsent=0)
    assert line_of(phone).entries == "entries 2–3 missing"
    assert Stream.objects.count() == 2


def test_an_entry_set_aside_is_not_missing(event, phone):
    clashes(phone, event)
    phone.jump(event, "2", 1)
    phone.send(phone.said[-1])
    says(phone)
    assert line_of(phone).entries == "all here"


def test_what_waits_is_counted_and_linked(desk_client, event, phone):
    waits(phone, event)
    clashes(phone, event)
    page = desk_client.get(PAGE)
    assert page.context["looks"].many == 2
    assert "2 entries wait to be looked at" in page.text
    assert troubles_of(event.meet, timezone.now()) == ["2 entries of phones wait to be looked at."]


def test_a_phone_is_locked_out_on_its_own_page(desk_client, event, phone):
    address = f"{PAGE}1/"
    assert "Lock it out" in desk_client.get(address).text
    assert desk_client.post(address, {"do": "lock-out"}).url == address
    phone.device.refresh_from_db()
    assert phone.device.revoked_at is not None
    page = desk_client.get(address).text
    assert "Locked out." in page
    assert "Lock it out" not in page
    assert "locked out" in desk_client.get(PAGE).text


def test_sending_nothing_locks_nobody_out(desk_client, phone):
    desk_client.post(f"{PAGE}1/")
    phone.device.refresh_from_db()
    assert phone.device.revoked_at is None


def test_the_page_of_a_phone_counts_what_came(desk_client, event, phone, session):
    phone.jump(event, "1", 1)
    waits(phone, event)
    phone.send(phone.said[0], by=Phone(session, "gauge"))
    page = desk_client.get(f"{PAGE}1/").context["page"]
    assert (page.received, page.waiting, page.brought) == (2, 1, 1)


@pytest.mark.parametrize("page", ["", "codes/", "waiting/", "1/"])
def test_the_number_of_queries_does_not_grow(desk_client, event, session, page):
    counted = []
    for _more in (1, 2):
        for _one in range(_more):
            phone = Phone(session)
            waits(phone, event)
            clashes(phone, event, str(len(counted) + 1))
            says(phone, max_seq=len(phone.said) + 4)
            DeviceFactory(key=PitKeyFactory(session=None, event=event, meet=event.meet))
        desk_client.get(PAGE + page)
        with CaptureQueriesContext(connection) as queries:
            assert desk_client.get(PAGE + page).status_code == 200
        counted.append([query["sql"] for query in queries])
    one, three = counted
    assert len(one) == len(three), "\n".join(three)


def test_a_phone_that_is_locked_out_stands_quietly_at_its_place(desk_client, phone, session):
    revoke_device(device=phone.device, now=timezone.now())
    other = Phone(session)
    assert [line.device for line in phones_of(phone.device.meet, timezone.now())] == [phone.device, other.device]
    assert [line.locked_out for line in phones_of(phone.device.meet, timezone.now())] == [True, False]


def test_the_page_of_the_meet_says_what_is_wrong_with_phones(desk_client, event, phone):
    assert "To the phones" not in desk_client.get("/desk/spring-jumps/").text
    waits(phone, event)
    assert "1 entry of a phone waits to be looked at." in desk_client.get("/desk/spring-jumps/").text
