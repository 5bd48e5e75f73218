"""Phones behind a bad network: whatever it does, all that was saved arrives, once, as it was written."""

import random
import threading
import time

import pytest

from tests.faults.conftest import POSTGRESQL, SQLITE, Field
from tests.faults.phone import Phone
from tests.faults.proxy import FAULTS, Proxy

pytestmark = pytest.mark.slow
SHARE = 0.6
PHONE_TIMEOUT_S = 2.0


def record(phone: Phone, until: float, rng: random.Random, most: int) -> None:
    """An official who writes now and then, and a phone that sends as it can."""
    for _turn in range(most):
        if time.monotonic() > until:
            return
        if rng.random() < 0.5:
            phone.write()
        phone.push()
        time.sleep(rng.uniform(0, 0.05))


def soaked(field: Field, seed: int, seconds: float) -> str:
    """Some phones record through the proxy for some time, then bring what is left; figures in a line."""
    print(f"seed {seed}")  # noqa: T201 (a failure can be played again)
    rng = random.Random(seed)
    field.server.start()
    roles = ("recorder", "recorder", "second", "second")
    phones = [
        Phone(field.server.port, field.meet, field.ledger, role=role, timeout_s=PHONE_TIMEOUT_S) for role in roles
    ]
    with Proxy(field.server.port, seed, SHARE) as proxy:
        until = time.monotonic() + seconds
        officials = []
        for phone in phones:
            phone.port = proxy.port
            own = random.Random(rng.random())
            officials.append(threading.Thread(target=record, args=(phone, until, own, int(seconds * 100))))
        for official in officials:
            official.start()
        for official in officials:
            official.join(seconds + 10 * PHONE_TIMEOUT_S)
        assert all(phone.drain(60) for phone in phones)
    assert proxy.met["pass"] > 0
    verdict = field.verdict()
    assert verdict.wrong == {}
    pushes, met = sum(phone.pushes for phone in phones), sum(proxy.met[fault] for fault in FAULTS)
    return (
        f"seed {seed}, {seconds} s: {len(field.ledger.written)} entries in {pushes} pushes, {met} faults "
        f"({', '.join(f'{count} {fault}' for fault, count in sorted(proxy.met.items()))}): {verdict.figures()}"
    )


@pytest.mark.parametrize("fault", FAULTS)
def test_each_fault_by_itself(fault, sqlite_field_of_module):
    """Two times the fault, then none: three pushes bring it."""
    field = sqlite_field_of_module
    phone = Phone(field.server.port, field.meet, field.ledger, timeout_s=PHONE_TIMEOUT_S)
    with Proxy(field.server.port, 1, 1.0, (fault,)) as proxy:
        phone.port = proxy.port
        phone.write()
        answered = [phone.push(), phone.push()]
        assert answered == [fault in ("delay", "twice")] * 2
        proxy.share = 0.0
        assert phone.push()
        assert phone.waiting == []
    assert field.verdict().wrong == {}


def test_phones_behind_a_bad_network(field):
    soaked(field, random.SystemRandom().randrange(10**6), 20)


@pytest.mark.long_faults
@pytest.mark.parametrize("field", [SQLITE, POSTGRESQL], indirect=True)
def test_phones_behind_a_bad_network_for_long(field, request, capsys):
    figures = soaked(field, random.SystemRandom().randrange(10**6), 600)
    with capsys.disabled():
        print(f"\n{request.node.callspec.params['field']}, {figures}")  # noqa: T201
