"""Statements that come again and again, planned once for each connection to PostgreSQL.

Planning one of them takes longer than running it. SQLite's driver keeps its plans by itself.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import count
from weakref import WeakKeyDictionary

from django.db import ProgrammingError, connection

# There is no such statement, or there is one that this connection did not make.
LOST = {"26000", "42P05"}
# Connection -> name -> the words kept under it.
_kept: WeakKeyDictionary[object, dict[str, str]] = WeakKeyDictionary()
_forgetful: WeakKeyDictionary[object, bool] = WeakKeyDictionary()


@dataclass(frozen=True, slots=True)
class Statement:
    """`name`: it comes again and again in the same words, which a database server plans once under this name."""

    sql: str
    values: Sequence[object] = ()
    name: str = ""


def calls_of(cursor, statements: Sequence[Statement]) -> list[str]:
    """Statements by their names; in their own words where they have none, or nothing is kept."""
    if connection.connection in _forgetful:
        return [one.sql for one in statements]
    kept = _kept.setdefault(connection.connection, {})
    if new := {one.name: one.sql for one in statements if one.name and one.name not in kept}:
        # How these are looked up best does not depend on the values asked for.
        anew = ["SET plan_cache_mode = force_generic_plan", *(_prepared(*one) for one in new.items())]
        cursor.execute("; ".join(anew))
        kept |= new
    return [
        f"EXECUTE {one.name}({', '.join(['%s'] * len(one.values))})" if kept.get(one.name) == one.sql else one.sql
        for one in statements
    ]


def _prepared(name: str, sql: str) -> str:
    numbers = count(1)
    return f"PREPARE {name} AS {re.sub('%s', lambda _mark: f'${next(numbers)}', sql)}"


def forget_plans(trouble: ProgrammingError) -> bool:
    """Whether the connection has lost what it kept, as behind a pool of connections: from now on nothing is kept."""
    lost = getattr(trouble.__cause__, "sqlstate", "") in LOST
    if lost:
        _forgetful[connection.connection] = True
    return lost
