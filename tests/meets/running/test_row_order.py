"""Rows of one phone stand as it wrote them, whenever they arrived."""

from itertools import permutations

import pytest

from meets.running.reads import rows_of, state_of
from meets.running.row_order import written_order
from scoring.facts import Left, Returned
from tests.factories import DeliveryFactory, LogRowFactory, StreamFactory


class Stored:
    def __init__(self, pk):
        self.pk = pk


@pytest.mark.parametrize(
    ("arrived", "expected"),
    [
        ("a1 a2 b1 a3", "a1 a2 b1 a3"),
        ("a2 a1", "a1 a2"),
        ("a1 a3 b1 a4 a2 b2", "a1 a2 a3 b1 a4 b2"),
        ("a3 a2 a1", "a1 a2 a3"),
        ("d b2 d a1 b1 d", "d b1 b2 d a1 d"),
        ("b9 a5 b1 a4 b3", "b1 b3 b9 a4 a5"),
    ],
)
def test_what_comes_late_stands_before_the_later_rows_of_its_phone(arrived, expected):
    """A letter is a phone, a number the entry's; `d` a row of the desk."""
    names = arrived.split()
    rows = [Stored(place) for place in range(len(names))]
    places = {place: (ord(name[0]), int(name[1:])) for place, name in enumerate(names) if name != "d"}
    assert [names[row.pk] for row in written_order(rows, places)] == expected.split()


@pytest.mark.parametrize("order", list(permutations(range(4))), ids=str)
def test_away_and_back_are_away_and_back_in_any_order_of_arrival(event, order):
    key = str(event.entries.get(bib="1").pk)
    written = [Left(key, "100 m"), Returned(key), Left(key, "first aid"), Returned(key)]
    stream = StreamFactory(device__key__session__pit__meet=event.meet)
    for number in order:
        row = LogRowFactory(event=event, fact=written[number])
        DeliveryFactory(pk=row.pk, stream=stream, seq=number + 1, event=event)
    rows = rows_of(event)
    assert [row.fact for row in rows][1:] == written
    assert [row.rev for row in rows] == [1, 2, 3, 4, 5]
    assert state_of(event).entry(key).away is None
