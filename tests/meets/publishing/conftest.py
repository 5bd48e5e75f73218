"""An event that is over, and ways to publish it and to read what was published."""

import json

import pytest

from meets.publishing.actions import publish
from meets.running import actions
from tests.meets.desk.conftest import event, meet, session, three  # noqa: F401

SERIES = {"1": "5.10 x 5.00", "2": "5.30 5.10 4.80", "3": "4.70 x x"}


@pytest.fixture
def over(three, event):  # noqa: F811
    """Three athletes, three trials each, a signed sheet: bib 2 has won before bib 1 and bib 3."""
    event.meet.rule_set = "three-only"
    event.meet.is_public = True
    event.meet.save()
    played = three.draw().jump_by_bib(SERIES, 3)
    actions.close(**played.who)
    return played


def posted(played, **values):
    """The next version; provisional and now unless said otherwise."""
    return publish(played.event, **{"status": "provisional", "by": "O. Rganiser", "now": played.now, **values})


def document(publication):
    return json.loads(publication.document)


def line(publication, bib):
    return next(line for line in document(publication)["lines"] if line["bib"] == bib)
