"""The database refuses to change or delete rows of the log, whoever asks. All of it is raw SQL on purpose."""

import pkgutil

import pytest
from django.core.management import CommandError, call_command
from django.db import IntegrityError, connection, transaction

import meets.migrations
from meets.checks import log_is_guarded
from meets.models import LogRow, Publication
from meets.models.log_guard import GUARDED, LOG, PUBLICATIONS, missing_triggers
from scoring.facts import CheckedIn
from tests.conftest import lift_guard
from tests.factories import LogRowFactory, PublicationFactory

sqlite_only = pytest.mark.skipif(connection.vendor != "sqlite", reason="SQLite's own syntax")
postgresql_only = pytest.mark.skipif(connection.vendor != "postgresql", reason="PostgreSQL's own syntax")

COLUMNS = 'id, event_id, rev, kind, "values", supersedes, recorder, "by", reason, at'
COPY = f"""INSERT {{}} INTO meets_logrow ({COLUMNS})
    SELECT {{}}, event_id, rev, 'left', "values", supersedes, recorder, "by", reason, at FROM meets_logrow WHERE true"""
UPSERT = COPY + " ON CONFLICT ({}) DO UPDATE SET kind = 'left'"
OTHER_ID = "'00000000-0000-0000-0000-000000000001'"


@pytest.fixture
def row(db):
    row = LogRowFactory(fact=CheckedIn("7"))
    connection.check_constraints()  # PostgreSQL truncates nothing while foreign keys wait to be checked
    return row


def refusal_of(sql):
    with pytest.raises(IntegrityError) as refusal, transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(sql)
    return str(refusal.value).splitlines()[0]


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE meets_logrow SET kind = 'left'",
        "UPDATE meets_logrow SET rev = rev",
        "DELETE FROM meets_logrow",
        "DELETE FROM meets_logrow WHERE rev = 1",
        pytest.param(UPSERT.format("", "id", "id"), id="upsert by id"),
        pytest.param(COPY.format("OR REPLACE", "id"), marks=sqlite_only, id="replace by id"),
        pytest.param(COPY.format("OR REPLACE", OTHER_ID), marks=sqlite_only, id="replace by rev"),
        pytest.param(
            UPSERT.format("", f"{OTHER_ID}::uuid", "event_id, rev"), marks=postgresql_only, id="upsert by rev"
        ),
        pytest.param("TRUNCATE meets_logrow", marks=postgresql_only),
        pytest.param("TRUNCATE meets_event CASCADE", marks=postgresql_only),
    ],
)
def test_refused_with_a_sentence(row, sql):
    assert refusal_of(sql) == LOG.sentence
    assert list(LogRow.objects.values_list("id", "kind")) == [(row.id, "checked_in")]


@pytest.mark.parametrize("sql", ["UPDATE meets_publication SET document = ''", "DELETE FROM meets_publication"])
def test_a_published_version_stays_as_it_is(db, sql):
    published = PublicationFactory()
    connection.check_constraints()
    assert refusal_of(sql) == PUBLICATIONS.sentence
    assert [one.document for one in Publication.objects.all()] == [published.document]


def test_rows_are_added_as_ever(row):
    LogRowFactory(event=row.event)
    assert list(LogRow.objects.values_list("rev", flat=True)) == [1, 2]


@postgresql_only
def test_switching_ordinary_triggers_off_does_not_help(row):
    with connection.cursor() as cursor:
        cursor.execute("SELECT usesuper FROM pg_user WHERE usename = current_user")
        if not cursor.fetchone()[0]:
            pytest.skip("only a superuser of the database may try")
    assert refusal_of("SET LOCAL session_replication_role = replica; DELETE FROM meets_logrow") == LOG.sentence


@pytest.mark.django_db(transaction=True)
def test_a_migration_that_makes_the_table_anew_leaves_the_log_guarded(settings):
    from tests.meets.models.with_a_rebuild.m9999_rebuild import missing_after_rebuild

    last = max(module.name for module in pkgutil.iter_modules(meets.migrations.__path__))
    row = LogRowFactory()
    missing_after_rebuild.clear()
    settings.MIGRATION_MODULES = {"meets": "tests.meets.models.with_a_rebuild"}
    call_command("migrate", "meets", verbosity=0)
    try:
        # Without this the test would prove nothing: on SQLite the rebuild does lose them.
        assert missing_after_rebuild == [LOG.triggers("sqlite") if connection.vendor == "sqlite" else []]
        assert missing_triggers(connection) == []
        assert refusal_of("UPDATE meets_logrow SET kind = 'left'") == LOG.sentence
        assert LogRow.objects.get() == row
    finally:
        call_command("migrate", "meets", last, verbosity=0)
    assert refusal_of("DELETE FROM meets_logrow") == LOG.sentence


@pytest.mark.django_db(transaction=True)
def test_emptying_the_database_is_refused_outside_the_harness():
    LogRowFactory()
    with pytest.raises(CommandError) as refusal:
        call_command("flush", interactive=False, verbosity=0)
    # Whichever table is emptied first answers.
    assert any(guarded.sentence in str(refusal.value.__cause__) for guarded in GUARDED)
    assert LogRow.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_a_log_without_its_guard_is_noticed_and_mended():
    lift_guard(connection)
    names = [name for guarded in GUARDED for name in guarded.triggers(connection.vendor)]
    assert missing_triggers(connection) == names
    assert [found.id for found in log_is_guarded(databases=["default"])] == ["meets.W002"]
    call_command("migrate", verbosity=0)
    assert log_is_guarded(databases=["default"]) == []
