"""Eight phones record while five hundred parents look at the live board: nobody at the pit waits for them."""

import json
import subprocess
import sys
import threading
import time

import pytest

from tests.bench.serving import ROOT
from tests.faults.conftest import POSTGRESQL, SQLITE, Field
from tests.faults.phone import Phone

pytestmark = pytest.mark.slow

PHONES, EVERY_S = 8, 1.0
LOOKERS, LOOK_EVERY_S = 500, 5.0
PUSH_P99_S = 0.05


def record(phone: Phone, until: float, first_at: float, took: list[float]) -> None:
    """A trial a second, sent at once; how long each push took."""
    due = first_at
    while due < until:
        time.sleep(max(0.0, due - time.monotonic()))
        phone.write()
        began = time.monotonic()
        phone.push()
        took.append(time.monotonic() - began)
        due += EVERY_S


def looked_at(field: Field, seconds: float, lookers: int) -> tuple[list[float], dict]:
    """How long each push took, slowest last, and what those who looked were told."""
    field.server.workers = 2
    field.server.start()
    phones = [
        Phone(field.server.port, field.meet, field.ledger, role=("recorder", "second")[number % 2])
        for number in range(PHONES)
    ]
    event = next(iter(field.meet["events"]))
    line = [field.server.port, f"/live/{field.meet['slug']}/{event}/", lookers, LOOK_EVERY_S, seconds]
    with subprocess.Popen(
        [sys.executable, "-m", "tests.faults.lookers", *map(str, line)], cwd=ROOT, stdout=subprocess.PIPE, text=True
    ) as looking:
        now, took = time.monotonic(), []
        officials = [
            threading.Thread(target=record, args=(phone, now + seconds, now + number / PHONES, took))
            for number, phone in enumerate(phones)
        ]
        for official in officials:
            official.start()
        for official in officials:
            official.join()
        figures = json.loads(looking.communicate(timeout=60)[0])
    assert all(phone.drain(60) for phone in phones)
    assert field.verdict().wrong == {}
    return sorted(took), figures


def lookers_asked(lookers: int, seconds: float) -> float:
    """How often they ask at least: not all of them at once, and none after the end."""
    return 0.9 * lookers * (seconds - LOOK_EVERY_S) / LOOK_EVERY_S


def test_what_is_recorded_arrives_while_people_look(field):
    took, figures = looked_at(field, 10, 50)
    assert len(took) == PHONES * 10
    assert set(figures["told"]) <= {"200", "304"}
    assert sum(figures["told"].values()) >= lookers_asked(50, 10)


@pytest.mark.long_faults
@pytest.mark.parametrize("field", [SQLITE, POSTGRESQL], indirect=True)
def test_nobody_at_the_pit_waits_for_five_hundred_parents(field, request, capsys):
    took, figures = looked_at(field, 600, LOOKERS)
    p50, p99 = took[len(took) // 2], took[int(len(took) * 0.99)]
    with capsys.disabled():
        print(  # noqa: T201
            f"\n{request.node.callspec.params['field']}: {len(took)} pushes, median {1000 * p50:.1f} ms, "
            f"p99 {1000 * p99:.1f} ms, slowest {1000 * took[-1]:.1f} ms; board {figures}"
        )
    assert set(figures["told"]) <= {"200", "304"}
    assert sum(figures["told"].values()) >= lookers_asked(LOOKERS, 600)
    assert p99 <= PUSH_P99_S
