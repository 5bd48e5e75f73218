"""What PostgreSQL is asked again and again is planned once for each connection."""

import pytest
from django.db import connection, connections
from django.test.utils import CaptureQueriesContext

from meets.pit.sync.actions import push
from meets.pit.sync.bringers import bringer_of
from meets.pit.sync.message import read_batch
from tests.meets.pit.sync.crowd import a_meet_with_phones
from tests.meets.pit.sync.phone import NOW, statuses

pytestmark = [
    pytest.mark.skipif(connection.vendor != "postgresql", reason="the driver of SQLite keeps plans by itself"),
    pytest.mark.django_db(transaction=True),
]


def sent(phone, entry) -> list[str]:
    """The first words of what is said to the database."""
    batch, bringer = read_batch(phone.text(entry, max_seq=entry["seq"])), bringer_of(phone.caller)
    with CaptureQueriesContext(connection) as queries:
        assert statuses(push(batch=batch, bringer=bringer, now=NOW)) == ["stored"]
    # Django notes a BEGIN of its own, which is not sent.
    return [query["sql"].split(" ")[0] for query in queries if query["sql"] != "BEGIN"]


def test_a_push_takes_three_messages():
    """What is asked, which begins the transaction; what is written; the end of it."""
    _event, (phone, *_others) = a_meet_with_phones()
    connections.close_all()
    sent(phone, phone.said[0])
    assert sent(phone, phone.said[1]) == ["BEGIN;", "EXECUTE", "COMMIT"]


@pytest.mark.parametrize("what", ["DISCARD ALL", "PREPARE row_appended AS SELECT 1"])
def test_a_connection_that_forgets_what_it_kept_is_asked_in_full(what):
    """As one of a pool that is given to somebody else in between."""
    _event, (phone, *_others) = a_meet_with_phones()
    connections.close_all()
    if "PREPARE" not in what:
        phone.send(phone.said[0])
    with connection.cursor() as cursor:
        cursor.execute(what)
    sent(phone, phone.said[1])
    assert "EXECUTE" not in " ".join(sent(phone, phone.said[2]))
    connections.close_all()
