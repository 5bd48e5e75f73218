"""Makes the database itself refuse to change or delete rows of the log, whatever program asks.

The triggers are made anew after every migration: when SQLite rebuilds a table, its triggers are gone without a word.
"""

from meets.models.log_row import LogRow

TABLE = LogRow._meta.db_table
SENTENCE = "A row of the log is never changed or deleted: add a row that supersedes it."
TRIGGERS = {
    "sqlite": (f"{TABLE}_no_update", f"{TABLE}_no_delete"),
    "postgresql": (f"{TABLE}_no_update", f"{TABLE}_no_delete", f"{TABLE}_no_truncate"),
}
FUNCTION = f"{TABLE}_refuse"


def guard_log(connection) -> None:
    """Put the triggers on the table of the log, in place of those that are there. Does nothing without the table."""
    if TABLE not in connection.introspection.table_names():
        return
    with connection.cursor() as cursor:
        for statement in _statements(connection.vendor):
            cursor.execute(statement)


def missing_triggers(connection) -> list[str]:
    """Names of the triggers that should be on the table of the log and are not."""
    found = {
        "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = %s",
        "postgresql": "SELECT tgname FROM pg_trigger WHERE tgrelid = to_regclass(%s) AND tgenabled = 'A'",
    }[connection.vendor]
    with connection.cursor() as cursor:
        cursor.execute(found, [TABLE])
        there = {name for (name,) in cursor.fetchall()}
    return [name for name in TRIGGERS[connection.vendor] if name not in there]


def _statements(vendor: str) -> list[str]:
    return {"sqlite": _for_sqlite, "postgresql": _for_postgresql}[vendor]()


def _for_sqlite() -> list[str]:
    statements = []
    for name in TRIGGERS["sqlite"]:
        event = name.rpartition("_")[2].upper()
        statements += [
            f"DROP TRIGGER IF EXISTS {name}",
            f"CREATE TRIGGER {name} BEFORE {event} ON {TABLE} BEGIN SELECT RAISE(ABORT, '{SENTENCE}'); END",
        ]
    return statements


def _for_postgresql() -> list[str]:
    # ALWAYS: also in a session that has switched ordinary triggers off, as loading a dump does.
    statements = [
        f"CREATE OR REPLACE FUNCTION {FUNCTION}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        f"RAISE EXCEPTION '{SENTENCE}' USING ERRCODE = 'integrity_constraint_violation'; END $$"
    ]
    for name in TRIGGERS["postgresql"]:
        event = name.rpartition("_")[2].upper()
        each = "STATEMENT" if event == "TRUNCATE" else "ROW"
        statements += [
            f"DROP TRIGGER IF EXISTS {name} ON {TABLE}",
            f"CREATE TRIGGER {name} BEFORE {event} ON {TABLE} FOR EACH {each} EXECUTE FUNCTION {FUNCTION}()",
            f"ALTER TABLE {TABLE} ENABLE ALWAYS TRIGGER {name}",
        ]
    return statements
