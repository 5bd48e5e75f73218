"""What the product finds wrong with the database it was given; said by `migrate` and `check --database default`."""

from django.core import checks
from django.db import connections
from django.utils.translation import gettext as _

Version = tuple[int, int, int]


def has_wal_reset_fault(version: Version) -> bool:
    """Whether this SQLite may lose writes when two connections meet at the moment its journal starts anew.

    Versions from published reports of the fault: 3.7.0 to 3.51.2, mended in 3.51.3, 3.50.7 and 3.44.6.
    """
    if (3, 44, 6) <= version < (3, 45, 0) or (3, 50, 7) <= version < (3, 51, 0):
        return False
    return (3, 7, 0) <= version < (3, 51, 3)


@checks.register(checks.Tags.database)
def sqlite_loses_nothing(databases=None, **kwargs) -> list[checks.CheckMessage]:
    """Warn of a SQLite with the known fault, in words for whoever runs the laptop."""
    from django.db.backends.sqlite3.base import Database

    version = Database.sqlite_version_info
    if not has_wal_reset_fault(version) or not any(connections[alias].vendor == "sqlite" for alias in databases or ()):
        return []
    return [
        checks.Warning(
            _(
                "This computer's SQLite (%(version)s) has a known fault: very rarely, when two people save at the "
                "same moment, the last entries can be lost."
            )
            % {"version": ".".join(map(str, version))},
            hint=_(
                "A meet on one laptop is fine if the paper sheets are kept until the results are out. To be rid of the "
                "fault, use a Python whose SQLite is 3.51.3 or newer, or PostgreSQL (DATABASE_URL)."
            ),
            id="meets.W001",
        )
    ]


@checks.register(checks.Tags.database)
def log_is_guarded(databases=None, **kwargs) -> list[checks.CheckMessage]:
    """A warning when what is kept for ever stands without its triggers, as after a migration that broke off."""
    from meets.models.log_guard import missing_triggers

    found: list[checks.CheckMessage] = []
    for alias in databases or ():
        connection = connections[alias]
        if missing_triggers(connection):
            found.append(
                checks.Warning(
                    _("The database would let somebody change or delete what was recorded at the pit or published."),
                    hint=_("Run `manage.py migrate`: it puts the protection back. Then run this check again."),
                    id="meets.W002",
                )
            )
    return found
