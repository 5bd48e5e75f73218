"""Several people publish at the same moment: one version for each number, and whoever was not the first is told."""

from collections import Counter
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connections

from meets.models import Publication
from meets.publishing.actions import Seen, publish_standings
from meets.running.record import Overtaken
from tests.meets.publishing.conftest import posted
from tests.meets.running.test_at_once import several_connections


def at_once(publish, people=4):
    """What came of it when they all did it: how many published, how many were told."""

    def one(number):
        try:
            publish(f"Person {number}")
        except Overtaken:
            return "told"
        finally:
            connections.close_all()
        return "published"

    with ThreadPoolExecutor(people) as pool:
        return Counter(pool.map(one, range(people)))


@several_connections
@pytest.mark.django_db(transaction=True)
def test_one_result_is_published_once(over):
    seen = Seen(0, over.state.version)
    assert at_once(lambda by: posted(over, seen=seen, by=by)) == {"published": 1, "told": 3}
    assert list(Publication.objects.values_list("version", flat=True)) == [1]


@several_connections
@pytest.mark.django_db(transaction=True)
def test_team_standings_are_published_once(over):
    posted(over)
    meet = over.event.meet
    done = at_once(lambda by: publish_standings(meet, by=by, now=over.now, seen=0))
    assert done == {"published": 1, "told": 3}
    assert Publication.objects.filter(event=None).count() == 1
