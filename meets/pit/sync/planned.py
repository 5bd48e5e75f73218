"""Statements that come again and again, planned once for each connection to PostgreSQL.

Planning one of them takes longer than running it. SQLite's driver keeps its plans by itself.
"""

import re
from collections.abc import Sequence
from itertools import count
from weakref import WeakKeyDictionary

from django.db import ProgrammingError, connection

NO_SUCH_STATEMENT = "26000"
# Connection -> name -> the words kept under it.
_kept: WeakKeyDictionary[object, dict[str, str]] = WeakKeyDictionary()
_forgetful: WeakKeyDictionary[object, bool] = WeakKeyDictionary()


def call_of(cursor, name: str, sql: str, values: Sequence[object]) -> str:
    """A statement by its name; in its own words where the name stands for others, or nothing is kept.

    A name is given again only for the same words.
    """
    if connection.connection in _forgetful:
        return sql
    kept = _kept.setdefault(connection.connection, {})
    if not kept:
        # The values asked for change nothing in how these are looked up best.
        cursor.execute("SET plan_cache_mode = force_generic_plan")
    if name not in kept:
        numbers = count(1)
        cursor.execute(f"PREPARE {name} AS {re.sub('%s', lambda _mark: f'${next(numbers)}', sql)}")
        kept[name] = sql
    return f"EXECUTE {name}({', '.join(['%s'] * len(values))})" if kept[name] == sql else sql


def forget_plans(trouble: ProgrammingError) -> bool:
    """Whether the connection has lost what it kept, as behind a pool of connections: from now on nothing is kept."""
    lost = getattr(trouble.__cause__, "sqlstate", "") == NO_SUCH_STATEMENT
    if lost:
        _forgetful[connection.connection] = True
    return lost
