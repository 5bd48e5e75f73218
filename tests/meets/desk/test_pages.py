"""What holds for every page of the desk: signed in, GET writes nothing, help without an account, errors in our look."""

import pytest
from django.db import connection
from django.template.loader import render_to_string
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from meets.desk import help_views, urls
from tests.factories import (
    PASSWORD,
    DeliveryFactory,
    DeviceFactory,
    PenaltyFactory,
    RecordClaimFactory,
    RecordFactory,
    SetAsideFactory,
)
from tests.meets.desk.conftest import Played

WRITES = ("INSERT", "UPDATE", "DELETE")
OPEN = ("sign_in", "sign_out")
POST_ONLY = (
    "remove_event",
    "remove_session",
    "a_session_each",
    "sign_out",
    "print_codes",
    "settle_waiting",
    "settle_aside",
    "renew_claims",
    "use_record_book",
    "forget_next_meet",
)

FILES = ("claim_form",)


@pytest.fixture
def addresses(three, session):
    """Every page of the desk with something to show."""
    played: Played = three.draw().jump("5.01+1.0")
    first = played.state.flights[0][0]
    school = played.event.entries.first().athlete.school
    device = DeviceFactory(key__session=session)
    record = RecordFactory(discipline="LJ", category="girls", age_group="U15")
    record.book.meets.add(played.event.meet)
    values = {
        "meet": "spring-jumps",
        "event_id": played.event.pk,
        "entry": first,
        "round": 1,
        "replacement": 0,
        "decision": "suspend",
        "pit_id": session.pit_id,
        "session_id": session.pk,
        "school_id": school.pk,
        "penalty_id": PenaltyFactory(meet=played.event.meet, school=school).pk,
        "book_id": record.book_id,
        "record_id": record.pk,
        "claim_id": RecordClaimFactory(book=record.book, entry=played.event.entries.first()).pk,
        "number": device.number,
        "key_id": device.key_id,
        "delivery_id": DeliveryFactory(stream__device=device, event=played.event, status="needs_review").pk,
        "aside_id": SetAsideFactory(device=device).pk,
    }
    found = {}
    for pattern in urls.urlpatterns:
        wanted = pattern.pattern.converters
        found[pattern.name] = reverse(f"desk:{pattern.name}", kwargs={name: values[name] for name in wanted})
    return found


def test_every_page_of_the_desk_asks_who_you_are(addresses):
    client = Client()
    sent_to = {}
    for name, address in addresses.items():
        if name not in OPEN:
            sent_to[name] = client.get(address)["Location"].partition("?")[0]
    assert sent_to == dict.fromkeys(sent_to, "/desk/sign-in/")
    assert len(sent_to) == len(urls.urlpatterns) - len(OPEN)


def test_no_get_writes(desk_client, addresses):
    statuses = {}
    with CaptureQueriesContext(
        connection,
    ) as queries:
        for name, address in addresses.items():
            if name not in OPEN:
                statuses[name] = desk_client.get(address).status_code
    assert [query["sql"] for query in queries if query["sql"].startswith(WRITES)] == []
    assert {name for name, status in statuses.items() if status == 405} == set(POST_ONLY) - set(OPEN)
    assert {status for name, status in statuses.items() if name not in POST_ONLY} == {200}


def test_a_change_without_the_forms_token_is_refused(organiser, addresses):
    client = Client(enforce_csrf_checks=True)
    client.force_login(organiser)
    answer = client.post(addresses["draw"], {"method": "lot"})
    assert (answer.status_code, "too old to be sent" in answer.content.decode()) == (403, True)


def test_signing_in_and_out(client, organiser):
    answer = client.post("/desk/sign-in/", {"username": organiser.username, "password": PASSWORD})
    assert (answer.status_code, answer["Location"]) == (302, "/desk/")
    assert client.get("/desk/sign-out/").status_code == 405
    assert client.post("/desk/sign-out/")["Location"] == "/desk/sign-in/"
    assert client.get("/desk/").status_code == 302


def test_a_wrong_password_is_said_in_words(client, organiser):
    answer = client.post("/desk/sign-in/", {"username": organiser.username, "password": "guess"})
    assert len(answer.context["form"].non_field_errors()) == 1


def test_pages_carry_no_inline_style_or_script(desk_client, addresses):
    for name, address in addresses.items():
        if name not in (*OPEN, *POST_ONLY, *FILES):
            page = desk_client.get(address).content.decode()
            assert (name, " style=" in page, "<style" in page, "<script>" in page, " onclick" in page) == (
                name,
                False,
                False,
                False,
                False,
            )


@pytest.mark.parametrize("name", [name for name, *_rest in help_views.PAGES])
def test_help_is_read_without_an_account(client, db, name):
    answer = client.get(reverse("help:page", args=[name]))
    assert (answer.status_code, answer.templates[0].name) == (200, f"help/{name}.html")


def test_help_lists_its_pages(client, db):
    page = client.get("/help/").content.decode()
    assert [name for name, *_rest in help_views.PAGES if f"/help/{name}/" not in page] == []


def test_a_help_page_that_is_none_is_not_found(client, db):
    assert client.get("/help/index/").status_code == 404


@pytest.mark.parametrize("name", ["400", "403", "404", "500"])
def test_error_pages_are_in_our_look_even_without_a_request(name):
    assert 'class="masthead"' in render_to_string(f"{name}.html")


def test_an_address_that_is_none_has_our_page(desk_client):
    answer = desk_client.get("/desk/no-such-meet/")
    assert (answer.status_code, "There is nothing at this address" in answer.content.decode()) == (404, True)


def test_a_part_that_renews_itself_after_signing_out_reloads_the_page(client, three):
    answer = client.get("/desk/spring-jumps/", headers={"HX-Request": "true"})
    assert (answer.status_code, answer["HX-Refresh"], answer.content) == (200, "true", b"")
