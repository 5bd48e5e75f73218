"""The page of sheets and the sheets it leads to."""

import re
from datetime import UTC, datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from meets.sheets.printing import KINDS
from tests.factories import EntryFactory, EventFactory, MeetFactory, SessionPartFactory
from tests.meets.sheets.reading import words

GROUPS = ("U13", "U17", "U20")


def address(event, kind="start-list"):
    return reverse("sheets:sheet", args=[event.meet.slug, event.pk, kind])


@pytest.mark.parametrize("key", KINDS)
def test_every_link_of_the_page_opens_its_sheet(desk_client, jumped, key):
    page = desk_client.get(reverse("sheets:list", args=[jumped.meet.slug])).content.decode()
    assert address(jumped, key) in page
    answer = desk_client.get(address(jumped, key))
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    assert answer["Content-Disposition"] == f'inline; filename="u15-girls-long-jump-{key}.pdf"'
    assert "no-store" in answer["Cache-Control"]
    assert "U15 Girls Long Jump" in words(answer.content)


def test_the_page_says_what_is_not_there_yet(desk_client, meet):
    EntryFactory(event=EventFactory(meet=meet, name="Long jump"))
    page = " ".join(
        re.sub("<[^>]*>", " ", desk_client.get(reverse("sheets:list", args=["pyddle"])).content.decode()).split()
    )
    assert "1 entry · not drawn yet" in page
    assert "nobody has jumped yet" in page


def test_without_a_start_of_its_own_an_event_starts_with_its_session(desk_client, meet):
    EventFactory(meet=meet, position=1, starts_at=None)
    at = datetime(2027, 6, 12, 9, 15, tzinfo=UTC)
    SessionPartFactory(event=EventFactory(meet=meet, position=2, starts_at=None), session__starts_at=at)
    rows = desk_client.get(reverse("sheets:list", args=[meet.slug])).context["table"].rows
    assert [row.get_cell("starts_at") for row in rows] == ["", "10:15"]


def test_without_events_the_page_says_what_to_do(desk_client, meet):
    page = desk_client.get(reverse("sheets:list", args=["pyddle"])).content.decode()
    assert reverse("desk:add_events", args=["pyddle"]) in page


def test_the_page_asks_the_same_for_one_event_and_for_three(desk_client, meet):
    asked = []
    for count in (1, 2):
        for number in range(count):
            event = EventFactory(meet=meet, age_group=GROUPS[number + count - 1])
            EntryFactory(event=event)
        with CaptureQueriesContext(connection) as queries:
            desk_client.get(reverse("sheets:list", args=["pyddle"]))
        asked.append(len(queries))
    assert meet.events.count() == 3
    assert asked[0] == asked[1]


def test_a_result_says_when_it_was_posted(desk_client, jumped):
    text = words(desk_client.get(address(jumped, "result"), {"posted": "15:10"}).content)
    assert "posted at 15:10 · protests to the referee before 15:40" in text
    assert "posted at ______" in words(desk_client.get(address(jumped, "result"), {"posted": ""}).content)


def test_a_time_that_is_none_is_refused(desk_client, jumped):
    assert desk_client.get(address(jumped, "result"), {"posted": "25:99"}).status_code == 400


def test_the_result_as_a_table(desk_client, jumped):
    answer = desk_client.get(reverse("sheets:csv", args=["pyddle", jumped.pk]))
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    assert answer["Content-Disposition"] == 'attachment; filename="u15-girls-long-jump-result.csv"'
    assert answer.content.decode().count("\r\n") == 15


def test_team_standings_of_the_meet(desk_client, jumped):
    answer = desk_client.get(reverse("sheets:standings", args=["pyddle"]))
    assert "Team standings" in words(answer.content)
    assert answer["Content-Disposition"] == 'inline; filename="pyddle-vale-schools-jumps-team-standings.pdf"'


@pytest.mark.parametrize("name", ["list", "standings", "sheet", "csv"])
def test_only_people_signed_in(client, event, name):
    more = {"sheet": [event.pk, "result"], "csv": [event.pk]}.get(name, [])
    answer = client.get(reverse(f"sheets:{name}", args=["pyddle", *more]))
    assert (answer.status_code, answer["Location"].split("?")[0]) == (302, reverse("desk:sign_in"))


def test_sheets_are_only_read(desk_client, event):
    assert desk_client.post(address(event)).status_code == 405


@pytest.mark.parametrize("kind", ["no-such-sheet", "team-standings"])
def test_a_kind_that_does_not_exist_is_not_found(desk_client, event, kind):
    assert desk_client.get(address(event, kind)).status_code == 404


def test_another_meets_event_is_not_found(desk_client, event):
    other = MeetFactory()
    assert desk_client.get(reverse("sheets:sheet", args=[other.slug, event.pk, "result"])).status_code == 404
    assert desk_client.get(reverse("sheets:list", args=["nowhere"])).status_code == 404
