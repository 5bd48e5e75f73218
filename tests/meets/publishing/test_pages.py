"""The public pages and files of results: who sees them, what they say, how long they are kept on the way."""

import json
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils.html import strip_tags
from jsonschema import Draft202012Validator

from meets.publishing.actions import publish_standings
from meets.publishing.canonical import file_text
from meets.publishing.schema import schema_of
from meets.publishing.verify import verify
from tests.factories import EventFactory, MeetFactory
from tests.meets.publishing.conftest import posted
from tests.meets.publishing.documents import best, document, published, trial
from tests.meets.publishing.packs.days import PublishedDay
from tests.meets.publishing.test_publish import correct, disqualify, official


def words(answer):
    return " ".join(strip_tags(answer.content.decode()).split())


def address(event, rest=""):
    return f"/results/{event.meet.slug}/{event.pk}/{rest}"


def test_a_meet_that_is_not_public_is_as_unknown_as_none(over, client, desk_client):
    posted(over)
    publish_standings(over.event.meet, by="O. Rganiser", now=over.now)
    places = [address(over.event, rest) for rest in ("", "1/", "versions/", "result.pdf", "1/result.csv")]
    places += [f"/results/spring-jumps/{rest}" for rest in ("", "teams/", "teams/versions/", "teams/1/result.json")]
    client.logout()
    assert [client.get(place).status_code for place in places] == [200] * len(places)
    over.event.meet.is_public = False
    over.event.meet.save()
    assert [client.get(place).status_code for place in places] == [404] * len(places)
    unknown = client.get("/results/no-such-meet/")
    assert (unknown.status_code, unknown.content) == (404, client.get("/results/spring-jumps/").content)


def test_organisers_see_them_before_others_do_and_nobody_keeps_them(over, desk_client):
    over.event.meet.is_public = False
    over.event.meet.save()
    posted(over)
    page, file = desk_client.get(address(over.event)), desk_client.get(address(over.event, "1/result.pdf"))
    assert (page.status_code, page["Cache-Control"]) == (200, "private, no-cache")
    assert (file.status_code, file["Cache-Control"]) == (200, "private, no-cache")


def test_an_event_without_a_result_says_so(client, event):
    event.meet.is_public = True
    event.meet.save()
    page = client.get(address(event))
    assert (page.status_code, "Not published yet" in page.text) == (200, True)
    assert client.get(address(event, "result.pdf")).status_code == 404
    assert client.get(address(event, "versions/")).status_code == 404
    assert client.get("/results/spring-jumps/teams/").status_code == 404


def test_the_newest_stands_and_the_older_says_what_took_its_place(over, client):
    posted(over)
    correct(over, "1", "5.40")
    posted(over, reason="misheard at the tape")
    newest, older = client.get(address(over.event)).text, client.get(address(over.event, "1/")).text
    assert ("Superseded." in newest, "Superseded." in older) == (False, True)
    assert "Version 2 (provisional) has taken the place of this one." in older
    assert "misheard at the tape" in newest
    assert "Bib 1: place 2, now 1; best 5.10, now 5.40; points 7, now 8." in newest
    assert "Bib 1, round 1: was 5.10, is now 5.40." in newest
    versions = client.get(address(over.event, "versions/")).text
    assert [versions.count(f"/{number}/result.json") for number in (1, 2)] == [1, 1]


def test_each_version_as_files(over, client):
    first = official(over)
    kinds = {"pdf": "application/pdf", "csv": "text/csv; charset=utf-8", "json": "application/json"}
    for ending, kind in kinds.items():
        newest, one = (
            client.get(address(over.event, f"result.{ending}")),
            client.get(address(over.event, f"2/result.{ending}")),
        )
        assert (newest["Content-Type"], newest.content) == (kind, one.content)
        assert (newest["Cache-Control"], one["Cache-Control"]) == ("public, no-cache", "public, no-cache")
        again = client.get(address(over.event, f"2/result.{ending}"), headers={"If-None-Match": one["ETag"]})
        assert (again.status_code, again.content) == (304, b"")
        assert client.get(address(over.event, f"3/result.{ending}")).status_code == 404
    assert client.get(address(over.event, "2/result.xml")).status_code == 404
    assert client.get(address(over.event, "result.csv")).text == first.csv
    assert verify(client.get(address(over.event, "result.json")).content, first.sha256).holds


def test_a_page_is_not_sent_twice(over, client):
    posted(over)
    first = client.get(address(over.event))
    again = client.get(address(over.event), headers={"If-None-Match": first["ETag"]})
    assert (first["Cache-Control"], again.status_code) == ("public, no-cache", 304)
    official_now = posted(over, status="official", now=over.now + timedelta(hours=1))
    after = client.get(address(over.event), headers={"If-None-Match": first["ETag"]})
    assert (after.status_code, f"version {official_now.version}" in after.text) == (200, True)


def test_standings_that_were_overtaken_by_a_result_say_so_until_they_are_added_up_anew(over, desk_client):
    says = "Not added up anew yet since these results were changed or published: U15 girls long jump."
    pages = ("/results/spring-jumps/", "/results/spring-jumps/teams/", "/desk/spring-jumps/results/")
    posted(over)
    publish_standings(over.event.meet, by="O. Rganiser", now=over.now)
    posted(over, status="official", referee="Ms Okonjo")
    assert [says in desk_client.get(page).text for page in pages] == [False] * 3
    disqualify(over, "2")
    posted(over, status="amended", reason="not entitled")
    assert [says in desk_client.get(page).text for page in pages] == [True] * 3
    publish_standings(over.event.meet, by="O. Rganiser", now=over.now)
    assert [says in desk_client.get(page).text for page in pages] == [False] * 3


def test_search_engines_are_asked_to_keep_nothing(over, client):
    posted(over)
    meta = '<meta name="robots" content="noindex, noarchive">'
    pages = (address(over.event), address(over.event, "versions/"), "/results/spring-jumps/", "/live/spring-jumps/")
    assert [meta in client.get(page).text for page in pages] == [True] * len(pages)
    files = (client.get(address(over.event, f"result.{ending}")) for ending in ("pdf", "csv", "json"))
    assert [file["X-Robots-Tag"] for file in files] == ["noindex, noarchive"] * 3


def test_what_stands_on_the_page_is_what_was_published(over, client):
    posted(over)
    meet = over.event.meet
    meet.public_names = "bib"
    meet.save()
    athlete = over.event.entries.get(bib="2").athlete
    athlete.first_name = "Somebody"
    athlete.save()
    assert "Somebody" not in client.get(address(over.event)).text


@pytest.mark.parametrize("kind", ["result", "standings"])
def test_the_schema_has_its_address(kind, client):
    answer = client.get(f"/results/schema/{kind}-1.json")
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/schema+json")
    Draft202012Validator.check_schema(answer.json())
    assert {**answer.json(), "$id": ""} == {**schema_of(kind), "$id": ""}


def test_a_hand_made_document_fits_the_schema():
    errors = Draft202012Validator(schema_of("result")).iter_errors(json.loads(file_text(document())))
    assert [error.message for error in errors] == []


@pytest.mark.django_db
def test_names_cannot_carry_markup(client):
    event = EventFactory(meet=MeetFactory(is_public=True))
    found = document(event={"number": event.pk, "name": event.name}, meet={"slug": event.meet.slug})
    found["lines"][0]["name"] = "<script>alert(1)</script>"
    published(event, found)
    assert "<script>alert" not in client.get(address(event)).text


@pytest.mark.django_db
@pytest.mark.parametrize("rest", ["", "{event}/", "{event}/1/", "{event}/versions/"])
def test_the_number_of_queries_does_not_grow(rest, client):
    counted = []
    for events, versions in ((1, 2), (3, 5)):
        meet = MeetFactory(is_public=True)
        for event in EventFactory.create_batch(events, meet=meet):
            for version in range(1, versions + 1):
                about = {"event": {"number": event.pk, "name": event.name}, "meet": {"slug": meet.slug}}
                published(event, document(version=version, **about))
        with CaptureQueriesContext(
            connection,
        ) as queries:
            assert client.get(f"/results/{meet.slug}/{rest.format(event=event.pk)}").status_code == 200
        counted.append(len(queries))
    assert counted[0] == counted[1]


def test_the_first_of_a_class_is_called_that_and_a_wind_against_has_a_minus_sign(client, db):
    day = PublishedDay(events=1, is_public=True)
    against = {"klass": "T20", "place": 1, "best": best(512, -4), "series": [trial(1, 512, -4)]}
    day.result(day.events[0], changes={1: against})
    page = words(client.get(f"/results/{day.meet.slug}/"))
    assert "1st, class T20 5.12" in page
    assert page.count("1st, class") == 1
    page = words(client.get(address(day.events[0])))
    assert "−0.4" in page
    assert "-0.4" not in page
