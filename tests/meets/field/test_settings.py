"""What settings say of the database, whichever it is."""

from django.conf import settings


def test_connections_are_kept_and_no_request_is_one_transaction():
    """A push ends its transaction itself, before it is answered."""
    database = settings.DATABASES["default"]
    assert database["CONN_MAX_AGE"] == 60
    assert not database["ATOMIC_REQUESTS"]
