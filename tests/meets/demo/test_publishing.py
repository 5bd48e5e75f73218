"""The evening of the demonstration day: most results become official, one is amended, two wait; all of it holds."""

import json
from collections import Counter

import pytest
from jsonschema import Draft202012Validator

from meets.demo.publishing import pack_day, publish_day
from meets.models import Publication
from meets.publishing.actions import latest
from meets.publishing.canonical import file_text
from meets.publishing.schema import schema_of
from meets.publishing.verify import verify
from meets.running.reads import state_of
from tests.factories import MeetFactory
from tests.meets.publishing.logs import played_event


@pytest.fixture
def evening(db):
    """A meet of four events, published as on the evening."""
    meet = MeetFactory()
    groups = ["U14", "U16", "U17", "U18"]
    for seed, group in enumerate(groups):
        played_event(meet=meet, seed=seed, entries=4, age_group=group, category="boys", name=f"{group} boys")
    asked = []
    many = publish_day(meet=meet, base="https://jumps.example.org", progress=lambda done, total: asked.append(total))
    assert (asked, meet.is_public) == ([many] * many, True)
    return meet


def test_how_the_results_stand(evening):
    newest = latest(evening)
    standings = newest.pop(None)
    assert Counter(one.status for one in newest.values()) == {"official": 1, "amended": 1, "provisional": 2}
    assert (standings.version, standings.status, bool(standings.changes)) == (2, "provisional", True)
    amended = next(one for one in newest.values() if one.status == "amended")
    assert {change["what"] for change in amended.changes} >= {"place", "status", "points", "mark"}


def test_every_version_holds_and_fits_the_schema(evening):
    found = list(Publication.objects.filter(meet=evening))
    assert len(found) == 4 + 2 + 1 + 2
    for publication in found:
        document = json.loads(publication.document)
        file = file_text(document).encode()
        assert [one.says for one in verify(file, publication.sha256).checked if one.holds is False] == []
        errors = Draft202012Validator(schema_of(document["kind"])).iter_errors(json.loads(file))
        assert [error.message for error in errors] == []


def test_a_disqualification_leaves_no_alarm(evening):
    assert [alarm.message for event in evening.events.all() for alarm in state_of(event).alarms] == []


def test_every_school_has_a_pack_ready(evening):
    schools = {entry.athlete.school.code for event in evening.events.all() for entry in event.entries.all()}
    assert pack_day(meet=evening) == len(schools)
    assert {pack.school.code for pack in evening.packs.all()} == schools
