"""From the last jump to a published version: what is stored, what is refused, who is told."""

import json
from datetime import timedelta

import pytest

from meets.publishing.actions import latest, publish
from meets.publishing.canonical import sha256_of
from meets.running import actions
from meets.running.refusals import Refusal
from tests.meets.desk.conftest import Played, event, meet, session, three  # noqa: F401

REFEREE = "Ms Okonjo"
SERIES = {"1": "5.10 x 5.00", "2": "5.30 5.10 4.80", "3": "x x x"}


@pytest.fixture
def over(three, event):  # noqa: F811
    """An event with three athletes and a signed sheet."""
    event.meet.rule_set = "three-only"
    event.meet.save()
    played = three.draw().jump_by_bib(SERIES, 3)
    actions.close(**played.who)
    return played


def posted(played, **values):
    return publish(played.event, **{"status": "provisional", "by": "O. Rganiser", "now": played.now, **values})


def test_the_first_version_is_provisional_and_starts_the_time_for_protests(over):
    made = posted(over)
    document = json.loads(made.document)
    assert (made.version, made.status, made.protests_until) == (1, "provisional", over.now + timedelta(minutes=30))
    assert made.sha256 == sha256_of(made.document)
    assert [(line["bib"], line["place"], line["points"]) for line in document["lines"]] == [
        ("2", 1, "8"),
        ("1", 2, "7"),
        ("3", None, ""),
    ]
    assert latest(over.event.meet) == {over.event.pk: made}


def test_it_is_official_once_the_time_for_protests_is_over(over):
    posted(over)
    with pytest.raises(Refusal, match=r"Protests are taken until 11:38"):
        posted(over, status="official", now=over.now + timedelta(minutes=29))
    made = posted(over, status="official", now=over.now + timedelta(minutes=30))
    assert (made.version, made.status, made.protests_until) == (2, "official", None)


def test_the_referee_says_so_earlier_by_name(over):
    posted(over)
    made = posted(over, status="official", referee=REFEREE)
    assert json.loads(made.document)["declared_by"] == REFEREE
