"""How often anything is looked up or built, what goes over the air, and that no two variants of a page are mixed up."""

import gzip

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from meets.board import answering, kept, versions
from meets.board.kept import Shelf
from meets.models import Meet
from tests.factories import EventFactory


@pytest.fixture
def address(three):
    three.draw().jump("5.01+1.0")
    return reverse("board:event", args=["day", three.event.pk])


@pytest.fixture
def built(monkeypatch):
    """Every page that was built, by its template."""
    found = []

    def counted(slug, template, context, before=answering._built):
        found.append(template)
        return before(slug, template, context)

    monkeypatch.setattr(answering, "_built", counted)
    return found


@pytest.fixture
def clock(monkeypatch):
    """The clock of the look-ups, in s; it stands until it is set."""
    now = [1000.0]
    monkeypatch.setattr(versions.time, "monotonic", lambda: now[0])
    return now


def test_a_page_that_is_kept_costs_no_query(client, address, clock):
    client.get(address)
    with CaptureQueriesContext(connection) as queries:
        answers = [client.get(address) for _ in range(5)]
    assert ([answer.status_code for answer in answers], len(queries)) == ([200] * 5, 0)


def test_what_a_meet_depends_on_is_looked_up_a_few_times_a_second_whoever_asks(client, address, clock, monkeypatch):
    looks = []
    monkeypatch.setattr(versions, "look", lambda slug, before=versions.look: looks.append(slug) or before(slug))
    for tenth in range(20):
        clock[0] = 1000 + tenth / 10
        client.get(address)
        client.get(reverse("board:meet", args=["day"]))
    assert 4 <= len(looks) <= 6


def test_looking_asks_the_same_whatever_the_meet_holds(three, django_assert_num_queries):
    with django_assert_num_queries(6):
        versions.look("day")
    for _ in range(3):
        EventFactory(meet=three.event.meet)
    with django_assert_num_queries(6):
        versions.look("day")


def test_a_page_is_built_once_for_a_version(client, three, address, built, clock):
    for second in range(3):
        clock[0] = 1000.0 + second
        client.get(address)
        client.get(address, headers={"accept-encoding": "gzip"})
    assert built == ["public/board_event.html"]
    three.jump("5.20+1.0")
    clock[0] = 1010
    assert "5.20" in client.get(address).text
    assert built == ["public/board_event.html"] * 2


def test_who_has_this_version_gets_no_body(client, three, address, clock):
    first = client.get(address)
    again = client.get(address, headers={"if-none-match": first["ETag"]})
    assert (again.status_code, again.content, again["ETag"]) == (304, b"", first["ETag"])
    three.jump("5.20+1.0")
    clock[0] += 2 * versions.LOOK_EVERY_S
    changed = client.get(address, headers={"if-none-match": first["ETag"]})
    assert (changed.status_code, changed["ETag"] != first["ETag"]) == (200, True)


def test_packed_and_plain_are_the_same_page(client, address):
    plain = client.get(address)
    packed = client.get(address, headers={"accept-encoding": "gzip, br"})
    assert (plain.get("Content-Encoding"), packed["Content-Encoding"]) == (None, "gzip")
    assert gzip.decompress(packed.content) == plain.content
    for answer in (plain, packed):
        assert {"Accept-Encoding", "Accept-Language"} <= {part.strip() for part in answer["Vary"].split(",")}
        assert answer["Cache-Control"] == "public, no-cache"


def test_a_page_for_everybody_does_not_ask_for_the_session(client, organiser, address):
    """A page whose answer hung on the cookie would be kept apart for each phone on the way."""
    client.force_login(organiser)
    assert "Cookie" not in client.get(address)["Vary"]


def test_languages_are_kept_apart(client, address, settings):
    settings.LANGUAGES = [("en-gb", "English"), ("cy", "Cymraeg")]
    english, welsh = (client.get(address, headers={"accept-language": tag}) for tag in ("en-gb", "cy"))
    assert ['<html lang="en-gb">' in english.text, '<html lang="cy">' in welsh.text] == [True, True]
    again = client.get(address, headers={"accept-language": "en-gb"})
    assert (again["ETag"], again["Content-Language"]) == (english["ETag"], "en-gb")


def test_a_meet_that_is_hidden_again_is_gone_within_a_moment(client, address, clock):
    client.get(address)
    Meet.objects.update(is_public=False)
    clock[0] += 2 * versions.LOOK_EVERY_S
    assert client.get(address).status_code == 404


def test_what_an_organiser_sees_of_a_hidden_meet_is_kept_by_nobody_on_the_way(client, organiser, address):
    Meet.objects.update(is_public=False)
    versions.forget()
    client.force_login(organiser)
    assert client.get(address)["Cache-Control"] == "private, no-cache"


def test_it_can_be_asked_for_without_its_body_and_not_sent_to(client, address):
    head = client.head(address)
    assert (head.status_code, head.content, "ETag" in head) == (200, b"", True)
    assert client.post(address).status_code == 405


def test_addresses_that_are_no_meet_leave_nothing_behind(client, db):
    for number in range(3):
        assert client.get(reverse("board:meet", args=[f"nothing-{number}"])).status_code == 404
    assert (len(versions._seen), len(kept.shelf)) == (0, 0)


def test_the_shelf_holds_so_many_bytes_and_what_was_asked_for_longest_ago_goes_first():
    page = "x" * 10_000
    one = Shelf().page("a", "1", lambda: page).size
    shelf = Shelf(most_bytes=3 * one)
    for key in "abc":
        shelf.page(key, "1", lambda: page)
    shelf.page("a", "1", lambda: page)
    shelf.page("d", "1", lambda: page)
    assert (len(shelf), shelf.bytes, sorted(shelf._kept)) == (3, 3 * one, ["a", "c", "d"])


def test_a_new_version_takes_the_place_of_the_old():
    shelf = Shelf()
    pages = [shelf.page("a", version, lambda version=version: version * 100).body for version in "123"]
    assert (pages, len(shelf), shelf.bytes) == ([b"1" * 100, b"2" * 100, b"3" * 100], 1, shelf._kept["a"].size)


def test_the_same_page_has_the_same_tag_in_every_process():
    first, second = (Shelf().page("a", version, lambda: "the page") for version in ("1", "2"))
    assert (first.tag, first.packed) == (second.tag, second.packed)


def test_while_a_page_is_built_others_get_the_one_before():
    shelf = Shelf()
    shelf.page("a", "1", lambda: "old")
    meanwhile = []

    def build():
        meanwhile.append(shelf.page("a", "2", lambda: "never built").body)
        return "new"

    assert (shelf.page("a", "2", build).body, meanwhile) == (b"new", [b"old"])


def test_a_page_that_could_not_be_built_is_tried_again():
    shelf = Shelf()
    with pytest.raises(ZeroDivisionError):
        shelf.page("a", "1", lambda: str(1 / 0))
    assert shelf.page("a", "1", lambda: "well").body == b"well"
