"""What waits to be looked at: said in words, taken in or left out with a reason; files of phones."""

from datetime import UTC, datetime
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from meets.models import Delivery, SetAside
from meets.pit.keys.actions import revoke_device
from meets.running.reads import state_of
from tests.factories import DeliveryFactory, DeviceFactory, EventFactory, PitSessionFactory, SetAsideFactory
from tests.meets.desk.phones.conftest import clashes, file_of, says, waits
from tests.meets.pit.sync.phone import Phone, key_of

PAGE = "/desk/spring-jumps/phones/waiting/"
ASIDE = "/desk/spring-jumps/phones/aside/"
FILE = "/desk/spring-jumps/phones/file/"
PHONES = "/desk/spring-jumps/phones/"


def log_of(event):
    return list(event.log.order_by("rev").exclude(kind="drawn"))


def test_where_nothing_waits_the_page_says_so(desk_client, meet):
    assert "Nothing waits" in desk_client.get(PAGE).text


@pytest.mark.parametrize(
    ("stopped", "at"),
    [("2027-06-12T12:10Z", "11:30:05"), ("2027-06-13T12:10Z", "12 June, 11:30:05")],
    indirect=["stopped"],
)
def test_an_entry_is_said_in_words_with_who_and_why(stopped, at, desk_client, event, phone):
    waits(phone, event, reason="", official="S. Ubstitute", wall=wall(datetime(2027, 6, 12, 10, 30, 5, tzinfo=UTC)))
    (one,) = desk_client.get(PAGE).context["waiting"]
    assert (one.said.what, one.said.event) == ("bib 2, round 9: 5.12", "U15 girls long jump")
    assert (one.said.who, one.said.at) == ("S. Ubstitute, recorder", at)
    assert (one.why, one.phone, one.number) == ("The event has only 6 rounds.", "phone 1 (R. Corder)", 1)
    assert one.decidable


def wall(at: datetime) -> int:
    return int(at.timestamp() * 1000)


def test_somebody_named_at_the_pit_is_called_by_name(desk_client, event, phone):
    new = f"new-{uuid4()}"
    named = {"name": "Ilsa Hobbeck", "school": "Nowhere School", "bib": "91", "year": None}
    phone.write(event, "added", {"entry": new}, named=named, v=2)
    phone.send_all()
    (one,) = desk_client.get(PAGE).context["waiting"]
    assert one.said.what == "bib 91 Ilsa Hobbeck Nowhere School added at the pit, to be confirmed"


@pytest.mark.parametrize(
    ("body", "what"),
    [
        ("{}", "It cannot be read."),
        ("nonsense", "It cannot be read."),
        ("[1]", "It cannot be read."),
        ('{"kind": "jumped", "values": 7}', "It cannot be read."),
        ('{"kind": "danced", "values": {"entry": "7", "steps": 3}}', "danced: entry 7, steps 3"),
        (
            '{"kind": "jumped", "values": {"entry": "x", "round": 1, "result": "?"}}',
            "jumped: entry x, round 1, result ?",
        ),
    ],
)
def test_what_cannot_be_read_is_shown_as_far_as_it_can(desk_client, event, phone, body, what):
    says(phone)
    DeliveryFactory(stream=phone.device.streams.get(), body=body, status="needs_review", problem="odd")
    SetAsideFactory(device=phone.device, body=body)
    page = desk_client.get(PAGE)
    assert page.context["waiting"][0].said.what == what
    assert page.context["asides"][0].said.what == what
    assert not page.context["waiting"][0].decidable


def test_an_entry_is_taken_in_with_its_reason(desk_client, event, phone, organiser):
    said = waits(phone, event)
    answer = desk_client.post(f"{PAGE}{said['id']}/", {"do": "take-in", "reason": "the paper has it"})
    assert answer.url == PAGE
    (row,) = log_of(event)
    assert (str(row.pk), row.values["mark"]) == (said["id"], 512)
    assert row.reason == f"taken in at the desk by {organiser.username}: the paper has it"
    assert "Nothing waits" in desk_client.get(PAGE).text


def test_an_entry_is_left_out_and_kept(desk_client, event, phone):
    said = waits(phone, event)
    desk_client.post(f"{PAGE}{said['id']}/", {"do": "leave-out", "reason": "typed at the wrong event"})
    delivery = Delivery.objects.get()
    assert delivery.status == "left_out"
    assert not any(row.kind == "jumped" for row in log_of(event))


@pytest.mark.parametrize(
    ("answers", "says_what"),
    [
        ({"do": "take-in"}, "Write the reason"),
        ({"do": "take-in", "reason": " "}, "Write the reason"),
        ({"reason": "because"}, "This field is required"),
        ({"do": "forget", "reason": "because"}, "Select a valid choice"),
    ],
)
def test_without_a_reason_nothing_is_decided_and_what_was_typed_stays(desk_client, event, phone, answers, says_what):
    said = waits(phone, event)
    page = desk_client.post(f"{PAGE}{said['id']}/", answers)
    assert page.status_code == 422
    assert says_what in page.text
    assert f'value="{answers.get("reason", "")}"' in page.text
    assert Delivery.objects.get().status == "needs_review"


def test_what_cannot_stand_in_a_log_is_refused_with_a_sentence(desk_client, event, phone):
    said = phone.jump(event, "1", 1, 543)
    said["values"]["entry"] = "999999"
    said.pop("hash")
    phone.send(said)
    page = desk_client.post(f"{PAGE}{said['id']}/", {"do": "take-in", "reason": "it is right"})
    assert page.status_code == 422
    assert "not entered" in page.text
    assert 'value="it is right"' in page.text


def test_what_somebody_has_settled_is_said(desk_client, event, phone):
    said = waits(phone, event)
    for _again in range(2):
        page = desk_client.post(f"{PAGE}{said['id']}/", {"do": "leave-out", "reason": "typed twice"})
    assert page.status_code == 422
    assert Delivery.objects.get().status == "left_out"


def test_of_two_that_clash_both_are_said(desk_client, event, phone):
    clashes(phone, event)
    (one,) = desk_client.get(PAGE).context["asides"]
    assert (one.said.what, one.other.what) == ("bib 1, round 1: 5.34", "bib 1, round 1: 5.43")
    assert one.why == "Another entry has the same number or name already."


def test_an_entry_that_clashes_with_a_row_of_the_desk_shows_that_row(desk_client, event, phone):
    drawn = event.log.get()
    phone.send(phone.jump(event, "1", 1, id=str(drawn.pk)))
    (one,) = desk_client.get(PAGE).context["asides"]
    assert one.other.what.startswith("start list drawn")
    assert one.other.who == "Organiser"


def test_an_entry_that_was_changed_on_the_way_says_so(desk_client, event, phone):
    phone.send({**phone.jump(event, "1", 1), "hash": "0" * 64})
    (one,) = desk_client.get(PAGE).context["asides"]
    assert (one.other, one.why) == (None, "Something of it was changed on the way: its check sum does not fit.")


@pytest.mark.parametrize(("do", "best"), [("first-stands", 543), ("use-instead", 534)])
def test_a_clash_is_settled_either_way(desk_client, event, phone, do, best):
    clashes(phone, event)
    aside = SetAside.objects.get()
    assert desk_client.post(f"{ASIDE}{aside.pk}/", {"do": do, "reason": "heard again"}).url == PAGE
    aside.refresh_from_db()
    assert aside.settled_at is not None
    assert state_of(event).entry(key_of(event, "1")).best == best
    again = desk_client.post(f"{ASIDE}{aside.pk}/", {"do": do, "reason": "heard again"})
    assert again.status_code == 422


def test_a_clash_needs_its_reason(desk_client, event, phone):
    clashes(phone, event)
    page = desk_client.post(f"{ASIDE}{SetAside.objects.get().pk}/", {"do": "use-instead"})
    assert (page.status_code, SetAside.objects.get().settled_at) == (422, None)
    assert "Write the reason" in page.text


def upload(client, content, name="phone-1-entries.json"):
    content = content if isinstance(content, bytes) else content.encode()
    return client.post(FILE, {"file": SimpleUploadedFile(name, content, "application/json")})


def test_the_file_of_a_phone_is_brought_in_as_often_as_wished(desk_client, event, phone):
    for bib in "123":
        phone.jump(event, bib, 1)
    phone.send(phone.said[0])
    answer = upload(desk_client, file_of(phone))
    assert answer.url == PHONES
    page = desk_client.get(PHONES).text
    assert "2 entries are new and in the log. 1 was here already." in page
    upload(desk_client, file_of(phone))
    assert "0 entries are new and in the log. 3 were here already." in desk_client.get(PHONES).text
    assert len(log_of(event)) == 3


def test_what_of_a_file_waits_is_shown_next(desk_client, event, phone):
    phone.jump(event, "1", 9)
    assert upload(desk_client, file_of(phone)).url == PAGE


def test_the_file_of_a_phone_that_is_locked_out_is_looked_at_before_it_counts(desk_client, event, phone):
    phone.jump(event, "1", 1)
    revoke_device(device=phone.device, now=timezone.now())
    assert upload(desk_client, file_of(phone)).url == PAGE
    (one,) = desk_client.get(PAGE).context["waiting"]
    assert (one.said.what, one.why) == ("bib 1, round 1: 5.43", "This phone was locked out.")
    assert log_of(event) == []


@pytest.mark.parametrize(
    ("content", "says_what"),
    [
        ("", "The submitted file is empty"),
        ("nonsense", "This is no outbox of a phone"),
        (b"\xff\xfe\x00", "This is no file of a phone"),
        ('{"entries": []}', "There is no entry in this file"),
        ("x" * (5 * 1024 * 1024 + 1), "larger than 5 MB"),
    ],
)
def test_another_file_is_refused_with_a_sentence(desk_client, meet, content, says_what):
    page = upload(desk_client, content)
    assert page.status_code == 422
    assert says_what in page.text


def test_a_file_of_another_meet_is_refused(desk_client, meet, session):
    elsewhere = Phone(PitSessionFactory())
    elsewhere.write(EventFactory(meet=elsewhere.device.meet), "left", {"entry": "1"})
    page = upload(desk_client, file_of(elsewhere))
    assert page.status_code == 422
    assert "another meet" in page.text or "does not know" in page.text
    assert not Delivery.objects.exists()


def test_nothing_of_another_meet_is_settled_here(desk_client, meet, event):
    delivery = DeliveryFactory(status="needs_review")
    aside = SetAsideFactory(device=DeviceFactory())
    now = {"do": "leave-out", "reason": f"at {timezone.now()}"}
    assert desk_client.post(f"{PAGE}{delivery.pk}/", now).status_code == 404
    assert desk_client.post(f"{ASIDE}{aside.pk}/", now).status_code == 404


@pytest.mark.parametrize("at", [datetime(9999, 12, 31, 23, 30, tzinfo=UTC), datetime(1, 1, 1, tzinfo=UTC)])
@pytest.mark.parametrize("zone", ["Europe/Berlin", "America/New_York"])
def test_a_clock_at_the_end_of_time_does_not_take_the_page_away(desk_client, meet, event, phone, at, zone):
    meet.time_zone = zone
    meet.save()
    waits(phone, event, wall=wall(at))
    (one,) = desk_client.get(PAGE).context["waiting"]
    assert one.number == 1
