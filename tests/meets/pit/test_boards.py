import pytest

from meets.pit.boards import boards_for
from tests.factories import EventFactory


@pytest.mark.parametrize(
    ("discipline", "own", "of_the_pit", "found"),
    [
        ("LJ", [100], [100, 200, 700, 900], (100,)),
        ("LJ", [], [100, 200, 700, 900], (100, 200)),
        ("TJ", [], [100, 200, 700, 900], (700, 900)),
        ("LJ", [], [700], (700,)),
        ("TJ", [900, 1100], [100], (900, 1100)),
        ("TJ", [], [], ()),
    ],
)
def test_boards_of_the_pit_that_suit_the_event(db, discipline, own, of_the_pit, found):
    assert boards_for(EventFactory(discipline=discipline, boards_cm=own), of_the_pit) == found
