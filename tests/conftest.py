"""Fixtures for everybody: the organiser and her client, a browser, and the harness that may empty the log."""

import os
import shutil
import time
from datetime import datetime

import hypothesis
import pytest
from django.core.management import CommandError
from django.db import OperationalError, connections
from django.db.backends.signals import connection_created
from django.dispatch import receiver
from django.test import TransactionTestCase
from django.utils import timezone
from factory.django import DjangoModelFactory

from tests.depth import CI, drawn

# How long an example takes says nothing on a busy machine; a check before a change is taken draws the same examples.
hypothesis.settings.register_profile("house", deadline=None, derandomize=CI, max_examples=drawn(100))
hypothesis.settings.load_profile("house")


ANSWERED_WITHIN_S = 10
ON_POSTGRESQL = os.environ.get("DATABASE_URL", "").startswith("postgres")


@receiver(connection_created)
def _readers_do_not_wait(connection, **_said) -> None:
    """Connections to one database in memory are refused at once what another is writing to, unlike those to a file."""
    if connection.vendor == "sqlite" and connection.is_in_memory_db():
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA read_uncommitted = 1")


def pytest_collection_modifyitems(config, items) -> None:
    """Long runs are for when somebody asks for them by name.

    What uses no database of the tests runs once, with SQLite: phones against a stub, commands with their own.
    """
    asked = "long_faults" in config.getoption("markexpr")
    left_out = [item for item in items if (item.get_closest_marker("long_faults") and not asked) or _run_before(item)]
    if left_out:
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if item not in set(left_out)]


def _run_before(item) -> bool:
    once = "stub" in getattr(item, "fixturenames", ()) or item.get_closest_marker("once") is not None
    return ON_POSTGRESQL and once


def missing(what: str) -> None:
    """Skip a test whose tool this machine lacks; on the project's own CI a missing tool is a failure."""
    if CI:
        pytest.fail(f"{what} is missing, and here it must be there")
    pytest.skip(f"{what} is not on this machine")


@pytest.fixture(scope="session", autouse=True)
def _passwords_are_quick():
    """Hashing a password takes a third of a second on purpose; no test needs that."""
    from django.test import override_settings

    with override_settings(PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"]):
        yield


@pytest.fixture(autouse=True)
def _factories_count_from_the_start():
    """Every test gets the same names and bibs, whatever ran before it."""
    from tests import factories

    for factory in vars(factories).values():
        if isinstance(factory, type) and issubclass(factory, DjangoModelFactory) and factory._meta.model:
            factory.reset_sequence(0, force=True)


@pytest.fixture(autouse=True)
def _public_pages_are_built_anew():
    """A process keeps them; the meet of the test before may have had the same address."""
    from meets.board import kept, versions

    versions.forget()
    kept.shelf.forget()


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup, django_db_blocker):
    """A browser may keep a line open to a live server for a moment, and with it a connection to the database.

    PostgreSQL removes no database that somebody is connected to: at the very end such connections are ended.
    """
    yield
    with django_db_blocker.unblock():
        for connection in connections.all():
            if connection.vendor == "postgresql":
                with connection.cursor() as cursor:
                    cursor.execute(
                        "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
                        " WHERE datname = current_database() AND pid <> pg_backend_pid()"
                    )


@pytest.fixture
def stopped(request, monkeypatch):
    """The clock stands at the moment that is the parameter, `2027-06-12T22:40Z`.

    It comes first in the arguments of a test, so that what the others make is made then as well.
    """
    moment = datetime.fromisoformat(request.param)
    monkeypatch.setattr(timezone, "now", lambda: moment)
    return moment


@pytest.fixture
def organiser(db):
    from tests.factories import OrganiserFactory

    return OrganiserFactory()


@pytest.fixture
def desk_client(client, organiser):
    """A test client signed in as the organiser."""
    client.force_login(organiser)
    return client


@pytest.fixture(scope="session")
def chromium():
    """A headless Chromium through Playwright; a page from it talks to `live_server`."""
    path = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    if not path:
        missing("Chromium")
    from playwright.sync_api import sync_playwright

    # Playwright keeps an event loop in this thread, which Django takes for asynchronous code.
    before = os.environ.get("DJANGO_ALLOW_ASYNC_UNSAFE")
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "yes"
    flags = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--no-first-run"]
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=flags)
        yield browser
        browser.close()
    if before is None:
        del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


@pytest.fixture
def pdftoppm():
    """Where pdftoppm is, which draws the pages of a PDF."""
    return shutil.which("pdftoppm") or missing("pdftoppm")


@pytest.fixture(scope="session", autouse=True)
def _only_the_harness_empties_the_log():
    """Tests that commit are cleaned up by emptying every table, which the log refuses: lift that, then put it back."""
    from meets.models.log_guard import guard_log

    empty_the_database = TransactionTestCase._fixture_teardown

    def lift_empty_guard(self):
        for alias in self._databases_names(include_mirrors=False):
            lift_guard(connections[alias])
        empty_the_database(self)
        for alias in self._databases_names(include_mirrors=False):
            guard_log(connections[alias])

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(TransactionTestCase, "_fixture_teardown", lambda self: once_nobody_reads(lift_empty_guard, self))
        yield


def once_nobody_reads(change, *values):
    """A live server may still be answering a browser; SQLite in memory then refuses to change tables, and at once."""
    until = time.monotonic() + ANSWERED_WITHIN_S
    while True:
        try:
            return change(*values)
        except (OperationalError, CommandError):
            if time.monotonic() > until:
                raise
            time.sleep(0.1)


def lift_guard(connection):
    """Take the triggers off the log. Nothing but the tests may."""
    from meets.models.log_guard import GUARDED

    with connection.cursor() as cursor:
        for guarded in GUARDED:
            on_table = f" ON {guarded.table}" if connection.vendor == "postgresql" else ""
            for name in guarded.triggers(connection.vendor):
                cursor.execute(f"DROP TRIGGER IF EXISTS {name}{on_table}")
