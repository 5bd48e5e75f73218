"""Every rule that entries of phones rely on is guarded: switched off in a copy of the product, a test turns red."""

import dataclasses
from concurrent.futures import ThreadPoolExecutor

import pytest

from tests.bench.serving import ROOT
from tests.faults.mutations.run import GREEN, NOT_TRIED, OUT_OF_DATE, RED, tried
from tests.faults.mutations.table import MUTATIONS

RULES = [mutation.rule for mutation in MUTATIONS]


@pytest.mark.parametrize("mutation", MUTATIONS, ids=RULES)
def test_the_table_is_up_to_date(mutation):
    assert (ROOT / mutation.file).read_text().count(mutation.old) == 1, "the product reads differently now"
    file, _colons, name = mutation.test.partition("::")
    assert f"def {name.partition('[')[0]}(" in (ROOT / file).read_text()
    assert mutation.old != mutation.new


def test_each_rule_has_a_name_of_its_own():
    assert len(set(RULES)) == len(RULES)


def not_noticed(mutations, at_once: int = 1) -> list[str]:
    parts = [mutations[first::at_once] for first in range(at_once)]
    with ThreadPoolExecutor(at_once) as pool:
        done = [one for part in pool.map(lambda part: list(tried(part)), parts) for one in part]
    assert len(done) == len(mutations)
    return [one.line for one in done if one.came != RED]


@pytest.mark.slow
def test_each_rule_switched_off_is_noticed():
    assert not_noticed([mutation for mutation in MUTATIONS if mutation.quick], at_once=2) == []


@pytest.mark.long_faults
def test_each_rule_switched_off_is_noticed_in_browsers_too():
    assert not_noticed(MUTATIONS) == []


@pytest.mark.slow
def test_the_check_itself_notices_what_proves_nothing():
    """A change that changes nothing, a text that is gone, a test that is gone, a change with which no test begins."""
    one = next(mutation for mutation in MUTATIONS if mutation.rule == "what comes late is looked at before it counts")
    harmless = dataclasses.replace(one, new=f"{one.old}  # (as it was)")
    gone = dataclasses.replace(one, old="no such text")
    without_test = dataclasses.replace(one, test=f"{one.test}_no_more")
    breaking = dataclasses.replace(one, old="from meets.models import Role\n", new="import no_such_module\n")
    changes = (one, harmless, gone, without_test, breaking)
    expected = [RED, GREEN, OUT_OF_DATE, NOT_TRIED, NOT_TRIED]
    assert [done.came for done in tried(changes[:3])] + [
        done.came for change in changes[3:] for done in tried([change])
    ] == expected
