"""A meet in a database of its own for each test, and a server that may be killed."""

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.bench.serving import ROOT, postgresql, postgresql_url
from tests.conftest import missing
from tests.faults.judge import Ledger, Verdict, judge, look
from tests.faults.server import Server, environment_for

SQLITE, POSTGRESQL = "sqlite", "postgresql"
OURS = POSTGRESQL if os.environ.get("DATABASE_URL", "").startswith("postgres") else SQLITE
"""Short runs take the kind of database that all other tests take; long ones take both."""
ON_SQLITE_ALONE = {"sqlite_field", "sqlite_field_of_module", "traced", "small_disk"}


def pytest_collection_modifyitems(config, items) -> None:
    """With PostgreSQL, what needs SQLite has been run before; long runs take both."""
    if OURS != POSTGRESQL or "long_faults" in config.getoption("markexpr"):
        return
    left_out = [item for item in items if not ON_SQLITE_ALONE.isdisjoint(getattr(item, "fixturenames", ()))]
    config.hook.pytest_deselected(items=left_out)
    items[:] = [item for item in items if item not in left_out]


@dataclass
class Field:
    """A meet, its server, and the ledger of what phones were told."""

    meet: dict
    server: Server
    ledger: Ledger

    def verdict(self, *, drained: bool = True, still_on_phones=()) -> Verdict:
        found = look(self.server.environment, self.ledger)
        return judge(self.ledger, found, still_on_phones, drained=drained)


def _set_up(environment: dict[str, str]) -> dict:
    ran = subprocess.run(
        [sys.executable, "-m", "tests.faults.set_up"], cwd=ROOT, env=environment, capture_output=True, text=True
    )
    assert ran.returncode == 0, ran.stderr
    return json.loads(ran.stdout)


@pytest.fixture(scope="session")
def sqlite_template(tmp_path_factory) -> tuple[Path, dict]:
    """A database file with a meet in it, made once, and what phones need to know of it."""
    folder = tmp_path_factory.mktemp("template")
    file = folder / "meets.sqlite3"
    return file, _set_up(environment_for(folder, f"sqlite:///{file}"))


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[str]:
    """The folder of the socket of a PostgreSQL with its defaults, fsync on."""
    with postgresql() as socket_folder:
        yield socket_folder or missing("PostgreSQL")


def field_on(kind: str, folder: Path, request, **more: str) -> Field:
    if kind == SQLITE:
        template, meet = request.getfixturevalue("sqlite_template")
        shutil.copyfile(template, folder / "meets.sqlite3")
        return Field(meet, Server(folder, f"sqlite:///{folder / 'meets.sqlite3'}", **more), Ledger())
    url = postgresql_url(request.getfixturevalue("postgresql_server"))
    for statement in ("DROP SCHEMA public CASCADE", "CREATE SCHEMA public"):
        _postgresql_does(url, statement)
    return Field(_set_up(environment_for(folder, url)), Server(folder, url, **more), Ledger())


def _postgresql_does(url: str, statement: str) -> None:
    import psycopg

    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(statement)


@pytest.fixture
def field(request, tmp_path) -> Iterator[Field]:
    """On the kind of database that a parameter names, else on that of all other tests; the server not started yet."""
    made = field_on(getattr(request, "param", OURS), tmp_path, request)
    yield made
    made.server.kill()


@pytest.fixture
def sqlite_field(request, tmp_path) -> Iterator[Field]:
    made = field_on(SQLITE, tmp_path, request)
    yield made
    made.server.kill()


@pytest.fixture(scope="module")
def sqlite_field_of_module(request, tmp_path_factory) -> Iterator[Field]:
    """One server for tests that leave it alive."""
    made = field_on(SQLITE, tmp_path_factory.mktemp("field"), request)
    made.server.start()
    yield made
    made.server.kill()
