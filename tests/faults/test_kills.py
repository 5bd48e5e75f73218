"""The server is killed at every awkward moment: what was acknowledged is there, and each entry once."""

import itertools
import random

import pytest

from tests.faults.conftest import POSTGRESQL, SQLITE, Field
from tests.faults.crashing_points import AFTER_COMMIT, ANYWHERE, BEFORE_COMMIT, MID_ANSWER
from tests.faults.phone import Phone

pytestmark = pytest.mark.slow
POINTS = (BEFORE_COMMIT, AFTER_COMMIT, MID_ANSWER, ANYWHERE)
EVERYBODY = {"X-Crash-All": "yes"}
DRAINED_WITHIN_S = 60


def killed(field: Field, phone: Phone, point: str, **more: str) -> None:
    """One push during which the server dies, and what the phone knows after it."""
    for _entry in range(random.randrange(1, 4)):
        phone.write()
    before = set(phone.ledger.acked)
    answered = phone.push(**{"X-Crash": point, **more})
    if point != ANYWHERE:
        assert not answered
        assert phone.ledger.acked == before
    if more:
        field.server.start_again()


@pytest.mark.parametrize("point", POINTS)
def test_killed_while_it_receives(field, point):
    field.server.start()
    phone = Phone(field.server.port, field.meet, field.ledger)
    for _kill in range(7):
        killed(field, phone, point)
        assert phone.drain(DRAINED_WITHIN_S)
    killed(field, phone, point, **EVERYBODY)
    assert phone.drain(DRAINED_WITHIN_S)
    assert field.verdict().wrong == {}


def test_before_the_commit_nothing_is_there_and_after_it_everything_once(field):
    field.server.start()
    phone = Phone(field.server.port, field.meet, field.ledger)
    phone.write()
    phone.push(**{"X-Crash": BEFORE_COMMIT})
    assert field.verdict(drained=False).lost == [phone.entries[0]["id"]]
    assert field.verdict(drained=False, still_on_phones=[phone.entries[0]["id"]]).wrong == {}
    while not phone.push(**{"X-Crash": AFTER_COMMIT}) and field.verdict(drained=False).lost:
        pass  # the one that answers is being started again
    assert phone.waiting == phone.entries
    assert phone.drain(DRAINED_WITHIN_S)
    assert field.verdict().wrong == {}


@pytest.mark.long_faults
@pytest.mark.parametrize("field", [SQLITE, POSTGRESQL], indirect=True)
def test_a_thousand_kills(field, request, capsys):
    seed = random.SystemRandom().randrange(10**6)
    random.seed(seed)
    field.server.workers = 4
    field.server.start()
    phones = [Phone(field.server.port, field.meet, field.ledger) for _phone in range(3)]
    kills = 0
    for phone, point in itertools.islice(zip(itertools.cycle(phones), itertools.cycle(POINTS), strict=False), 1000):
        killed(field, phone, point, **(EVERYBODY if kills % 25 == 24 else {}))
        kills += 1
        if random.random() < 0.5:
            assert phone.drain(DRAINED_WITHIN_S)
    assert all(phone.drain(DRAINED_WITHIN_S) for phone in phones)
    verdict = field.verdict()
    with capsys.disabled():
        kind, written, acked = request.node.callspec.params["field"], field.ledger.written, field.ledger.acked
        print(f"\n{kind}, seed {seed}: {kills} kills, {len(written)} entries, {len(acked)} acked: {verdict.figures()}")  # noqa: T201
    assert verdict.wrong == {}
