"""Codes: proposed, made, shown once, printed, closed, taken back."""

import re

import pytest
from django.utils import timezone

from meets.models import Event, PitKey
from meets.pit.keys.actions import hash_of, join
from meets.running import actions
from tests.factories import MeetFactory, PitKeyFactory, PitSessionFactory, SessionPartFactory
from tests.meets.pit.conftest import DESK_BY
from tests.meets.pit.sync.phone import Phone
from tests.meets.sheets.reading import pages, words

PAGE = "/desk/spring-jumps/phones/codes/"


def ticked(page) -> set[str]:
    return {name for name, field in page.context["form"].fields.items() if name.startswith("code_") and field.initial}


def make(client, *names: str, once: str = "a page", **more):
    return client.post(PAGE, {"once": once, **dict.fromkeys(names, "on"), **more})


def test_a_full_crew_is_proposed_for_every_session(desk_client, session):
    other = PitSessionFactory(pit__meet=session.pit.meet)
    usual = ("recorder", "second", "gauge", "referee")
    assert ticked(desk_client.get(PAGE)) == {f"code_{one.pk}_{name}" for one in (session, other) for name in usual}


def test_what_exists_is_not_proposed_again(desk_client, session):
    PitKeyFactory(session=session, roles=["recorder", "gauge"])
    PitKeyFactory(session=session, roles=["referee"], revoked_at=timezone.now())
    page = desk_client.get(PAGE)
    assert ticked(page) == {f"code_{session.pk}_second", f"code_{session.pk}_referee"}
    assert page.text.count(">made<") == 1
    assert page.text.count('type="checkbox" name="code_') == 7
    assert page.text.count(" checked") == 2


def test_a_pit_without_a_gauge_needs_no_gauge_operator(desk_client, session):
    session.pit.gauge = "none"
    session.pit.save()
    assert f"code_{session.pk}_gauge" not in ticked(desk_client.get(PAGE))


def test_what_is_over_is_not_proposed(desk_client, event, session):
    actions.close(event_id=event.pk, reason="rain", **DESK_BY)
    assert ticked(desk_client.get(PAGE)) == set()


def test_without_a_session_the_page_says_what_to_do_first(desk_client, meet):
    assert "Say first which crew is at which pit" in desk_client.get(PAGE).text


def test_codes_are_made_and_shown_with_what_they_hold(desk_client, session, organiser):
    page = make(desk_client, f"code_{session.pk}_recorder", f"code_{session.pk}_alone")
    keys = list(PitKey.objects.order_by("pk"))
    assert [(key.session, key.roles, key.made_by) for key in keys] == [
        (session, ["recorder"], organiser.username),
        (session, ["recorder", "gauge", "referee"], organiser.username),
    ]
    typed = re.findall(r'name="secret" value="([^"]+)"', page.text)
    assert {len(four) for four in typed[0].split()[:-1]} == {4}
    assert f"<code>{typed[0]}</code>" in page.text
    secrets = ["".join(one.split()) for one in typed]
    assert [hash_of(secret) for secret in secrets] == [key.hash for key in keys]
    cards = page.context["cards"]
    assert [one.card.address for one in cards] == [f"http://testserver/pit/phone/#k={secret}" for secret in secrets]
    assert [one.card.roles for one in cards] == ["Recorder", "Recorder, wind gauge operator and referee"]
    assert page.text.count("<svg") == 2
    assert "no-store" in page["Cache-Control"]
    assert join(secret=secrets[0], official="R. Corder", app_version="1", now=timezone.now()).device.number == 1


def test_a_page_that_is_sent_again_makes_nothing_twice(desk_client, session):
    name = f"code_{session.pk}_recorder"
    make(desk_client, name)
    again = make(desk_client, name)
    assert again.url == "/desk/spring-jumps/phones/"
    assert "not shown a second time" in desk_client.get(again.url).text
    assert PitKey.objects.count() == 1
    make(desk_client, name, once="another page")
    assert PitKey.objects.count() == 2


def test_one_more_for_an_event_with_any_roles(desk_client, event, session):
    make(desk_client, where=f"event_{event.pk}", roles=["referee", "gauge"])
    key = PitKey.objects.get()
    assert (key.session, key.event, key.roles) == (None, event, ["gauge", "referee"])


@pytest.mark.parametrize(
    ("answers", "says"),
    [
        ({}, "Tick the codes that are to be made."),
        ({"where": "event"}, "Tick the roles of the code"),
        ({"roles": ["recorder"]}, "Choose for which session or event"),
        ({"where": "event", "roles": ["recorder", "second"]}, "One code cannot be for recorder and second recorder"),
        ({"where": "event", "roles": ["display", "recorder"]}, "its code has no other role"),
        ({"where": "event_999999", "roles": ["recorder"]}, "Select a valid choice"),
        ({"where": "event", "roles": ["king"]}, "Select a valid choice"),
    ],
)
def test_what_cannot_be_is_said(desk_client, event, session, answers, says):
    if answers.get("where") == "event":
        answers = {**answers, "where": f"event_{event.pk}"}
    page = make(desk_client, **answers)
    assert page.status_code == 422
    assert says in page.text
    assert not PitKey.objects.exists()


def test_nothing_of_another_meet_can_be_chosen(desk_client, event, session):
    stranger = SessionPartFactory()
    page = make(
        desk_client, f"code_{stranger.session_id}_recorder", where=f"event_{stranger.event_id}", roles=["gauge"]
    )
    assert page.status_code == 422
    assert not PitKey.objects.exists()


@pytest.mark.parametrize(
    ("address", "says"),
    [
        ("http://localhost:8000", "No phone can reach http://localhost:8000"),
        ("http://192.0.2.7:8000", "Phones open http://192.0.2.7:8000, without HTTPS."),
        ("https://192.0.2.7:8443", "Phones open https://192.0.2.7:8443."),
    ],
)
def test_the_page_says_which_address_phones_open(desk_client, session, settings, address, says):
    settings.NEAREST_BREAK_ADDRESS = address
    assert says in " ".join(desk_client.get(PAGE).text.split())
    assert says in " ".join(make(desk_client, f"code_{session.pk}_recorder").text.split())


def test_the_codes_are_printed_by_what_the_page_knows(desk_client, session):
    names = [f"code_{session.pk}_{name}" for name in ("recorder", "second", "gauge", "referee")]
    made = make(desk_client, *names)
    secrets = re.findall(r'name="secret" value="([^"]+)"', made.text)
    answer = desk_client.post(f"{PAGE}print/", {"secret": [*secrets, "not a code of ours"]})
    assert (answer["Content-Type"], answer["Cache-Control"]) == ("application/pdf", "private, no-store")
    assert [page.count("Come in") for page in pages(answer.content)] == [3, 1]
    text = words(answer.content)
    for word in ("Spring jumps", "Second recorder", "North pit, 11:00", "Morning", *secrets):
        assert word in text
    assert [key.hash for key in PitKey.objects.order_by("pk")] == [hash_of("".join(one.split())) for one in secrets]


@pytest.mark.parametrize("secrets", [[], ["guessed"]])
def test_what_is_no_code_of_the_meet_is_not_printed(desk_client, session, secrets):
    elsewhere = PitKeyFactory(secret="ofanothermeet", session__pit__meet=MeetFactory())
    assert elsewhere.meet != session.pit.meet
    answer = desk_client.post(f"{PAGE}print/", {"secret": [*secrets, "ofanothermeet"]})
    assert answer.status_code == 400


def test_a_lost_card_lets_no_more_phones_in_and_its_phones_go_on(desk_client, session):
    phone = Phone(session)
    key = phone.device.key
    address = f"{PAGE}{key.pk}/"
    assert "Let no more phones in" in desk_client.get(address).text
    desk_client.post(address, {"do": "close"})
    page = desk_client.get(address).text
    assert "It lets no more phones in." in page
    assert "Phone 1" in page
    assert "lets no more phones in" in desk_client.get("/desk/spring-jumps/phones/").text
    assert phone.caller.device.revoked_at is None


def test_a_code_taken_back_locks_its_phones_out(desk_client, session):
    phone = Phone(session)
    address = f"{PAGE}{phone.device.key.pk}/"
    desk_client.post(address, {"do": "lock-out"})
    assert phone.caller.device.revoked_at is not None
    page = desk_client.get(address).text
    assert "Taken back." in page
    assert "Take the code back" not in page


def test_events_are_offered_in_the_order_of_the_programme(desk_client, event, session):
    choices = desk_client.get(PAGE).context["form"].fields["where"].choices
    offered = [name for name, _title in choices[2][1]]
    assert offered == [f"event_{pk}" for pk in Event.objects.values_list("pk", flat=True)]
