"""The desk's page about the public: the switch, how much of names, who is never named, the address and its code."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.models import Athlete
from meets.models import Meet
from tests.factories import EntryFactory


@pytest.fixture
def page(meet):
    return f"/desk/{meet.slug}/public/"


def sent(answer, **changes):
    """What the form of a page would send, with changes; an empty value is a box that is not ticked."""
    form = answer.context["form"]
    values = {name: form.get_initial_for_field(field, name) for name, field in form.fields.items()}
    values |= changes
    return {name: value for name, value in values.items() if value not in (False, None)}


def test_at_first_the_public_sees_nothing(desk_client, page):
    answer = desk_client.get(page)
    assert (Meet.objects.get().is_public, "Nobody but signed-in organisers" in answer.text) == (False, True)
    assert "consent" in answer.text


def test_a_meet_is_shown_with_its_address_and_its_code(desk_client, client, meet, page):
    answer = desk_client.post(page, sent(desk_client.get(page), is_public="on", public_names="bib"), follow=True)
    meet.refresh_from_db()
    assert (meet.is_public, meet.public_names) == (True, "bib")
    assert f"http://testserver/live/{meet.slug}/" in answer.text
    code = desk_client.get(f"{page}code.svg")
    assert (code["Content-Type"], code.text.startswith("<svg")) == ("image/svg+xml", True)
    overview = desk_client.get(f"/desk/{meet.slug}/").text
    assert (f'href="/live/{meet.slug}/"' in overview, f"{page}code.svg" in overview) == (True, True)


def test_it_is_hidden_again(desk_client, meet, page):
    Meet.objects.update(is_public=True)
    desk_client.post(page, sent(desk_client.get(page), is_public=""))
    meet.refresh_from_db()
    assert meet.is_public is False


def test_who_is_ticked_is_never_named(desk_client, event, page):
    one, other = (EntryFactory(event=event).athlete for _ in range(2))
    Athlete.objects.filter(pk=other.pk).update(not_public=True)
    desk_client.post(page, sent(desk_client.get(page), not_shown=[one.pk]))
    assert dict(Athlete.objects.values_list("pk", "not_public")) == {one.pk: True, other.pk: False}


def test_an_athlete_of_another_meet_cannot_be_ticked_here(desk_client, event, page):
    stranger = EntryFactory(event__meet__slug="elsewhere").athlete
    assert desk_client.post(page, sent(desk_client.get(page), not_shown=[stranger.pk])).status_code == 422
    assert list(Athlete.objects.filter(not_public=True)) == []


def test_what_somebody_has_changed_in_the_meantime_is_not_undone(desk_client, event, page):
    athlete = EntryFactory(event=event).athlete
    opened = sent(desk_client.get(page))
    Athlete.objects.update(not_public=True)
    answer = desk_client.post(page, opened)
    athlete.refresh_from_db()
    assert (answer.status_code, athlete.not_public) == (422, True)


def test_names_are_asked_for_once_however_many_there_are(desk_client, event, page):
    counted = []
    for _ in range(2):
        EntryFactory.create_batch(2, event=event)
        with CaptureQueriesContext(connection) as queries:
            desk_client.get(page)
        counted.append(len(queries))
    assert counted[0] == counted[1]
