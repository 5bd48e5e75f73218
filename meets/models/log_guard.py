"""Makes the database itself refuse to change or delete what is kept for ever, whatever program asks.

That is the log, and every version of a result that was published. The triggers are made anew after every migration:
when SQLite rebuilds a table, its triggers are gone without a word.
"""

from dataclasses import dataclass

from meets.models.log_row import LogRow
from meets.models.publication import Publication


@dataclass(frozen=True, slots=True)
class Guarded:
    """A table whose rows are added and read only, and what whoever tries otherwise is told."""

    table: str
    sentence: str

    def triggers(self, vendor: str) -> list[str]:
        refused = {"sqlite": ("update", "delete"), "postgresql": ("update", "delete", "truncate")}[vendor]
        return [f"{self.table}_no_{event}" for event in refused]


LOG = Guarded(LogRow._meta.db_table, "A row of the log is never changed or deleted: add a row that supersedes it.")
PUBLICATIONS = Guarded(
    Publication._meta.db_table, "A published version is never changed or deleted: publish a new version."
)
GUARDED = (LOG, PUBLICATIONS)


def guard_log(connection) -> None:
    """Put the triggers on their tables, in place of those that are there. Leaves out a table that is not there."""
    tables = connection.introspection.table_names()
    with connection.cursor() as cursor:
        for guarded in GUARDED:
            if guarded.table in tables:
                for statement in _statements(connection.vendor, guarded):
                    cursor.execute(statement)


def missing_triggers(connection) -> list[str]:
    """Names of the triggers that should be on their tables and are not. A table that is not there needs none."""
    found = {
        "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = %s",
        "postgresql": "SELECT tgname FROM pg_trigger WHERE tgrelid = to_regclass(%s) AND tgenabled = 'A'",
    }[connection.vendor]
    tables, missing = connection.introspection.table_names(), []
    with connection.cursor() as cursor:
        for guarded in GUARDED:
            if guarded.table in tables:
                cursor.execute(found, [guarded.table])
                there = {name for (name,) in cursor.fetchall()}
                missing += [name for name in guarded.triggers(connection.vendor) if name not in there]
    return missing


def _statements(vendor: str, guarded: Guarded) -> list[str]:
    return {"sqlite": _for_sqlite, "postgresql": _for_postgresql}[vendor](guarded)


def _for_sqlite(guarded: Guarded) -> list[str]:
    statements = []
    for name in guarded.triggers("sqlite"):
        event = name.rpartition("_")[2].upper()
        statements += [
            f"DROP TRIGGER IF EXISTS {name}",
            f"CREATE TRIGGER {name} BEFORE {event} ON {guarded.table} "
            f"BEGIN SELECT RAISE(ABORT, '{guarded.sentence}'); END",
        ]
    return statements


def _for_postgresql(guarded: Guarded) -> list[str]:
    function = f"{guarded.table}_refuse"
    # ALWAYS: also in a session that has switched ordinary triggers off, as loading a dump does.
    statements = [
        f"CREATE OR REPLACE FUNCTION {function}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        f"RAISE EXCEPTION '{guarded.sentence}' USING ERRCODE = 'integrity_constraint_violation'; END $$"
    ]
    for name in guarded.triggers("postgresql"):
        event = name.rpartition("_")[2].upper()
        each = "STATEMENT" if event == "TRUNCATE" else "ROW"
        statements += [
            f"DROP TRIGGER IF EXISTS {name} ON {guarded.table}",
            f"CREATE TRIGGER {name} BEFORE {event} ON {guarded.table} FOR EACH {each} EXECUTE FUNCTION {function}()",
            f"ALTER TABLE {guarded.table} ENABLE ALWAYS TRIGGER {name}",
        ]
    return statements
