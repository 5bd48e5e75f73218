"""Published points of a long jump in combined events."""

import pytest

from scoring.combined import CombinedTable, long_jump_points


# source: "points closest to the hundreds", decathlon2000.com, 1985 tables
@pytest.mark.parametrize(("cm", "points"), [(559, 500), (606, 600), (651, 700), (736, 900), (776, 1000)])
def test_marks_listed_for_the_hundreds(cm, points):
    assert long_jump_points(cm, CombinedTable.MEN) == points


def test_695_is_the_first_mark_that_reaches_800_points():
    """The same list gives 6.95 for 800: it computes to 802, and 6.94 to 799."""
    assert [long_jump_points(cm, CombinedTable.MEN) for cm in (694, 695)] == [799, 802]


def test_648_is_the_womens_thousand():
    """A heptathlon teaching text lists 6.48 as the 1000-point mark: the first that reaches it, with 1001."""
    first = next(cm for cm in range(210, 800) if long_jump_points(cm, CombinedTable.WOMEN) >= 1000)
    assert (first, long_jump_points(first, CombinedTable.WOMEN)) == (648, 1001)
