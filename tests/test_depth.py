import pytest

from tests.depth import drawn


@pytest.mark.parametrize(("most", "part"), [(1000, 200), (300, 60), (100, 20), (40, 20), (20, 20), (5, 5)])
def test_a_part_of_the_examples_is_drawn_and_all_of_them_on_ci(most, part):
    assert drawn(most, all_of_them=False) == part
    assert drawn(most, all_of_them=True) == most
