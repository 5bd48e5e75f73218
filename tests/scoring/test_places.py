import pytest

from scoring.places import Contender, Decision, Placed, rank, rank_by_class

G = {"guest": True}


def ranked(*contenders: Contender) -> list[tuple[str, int | None]]:
    return [(placed.entry, placed.place) for placed in rank(contenders)]


@pytest.mark.parametrize(
    ("contenders", "order"),
    [
        ((), []),
        ((Contender("a", (500,)),), [("a", 1)]),
        ((Contender("a", (500,)), Contender("b", (501,))), [("b", 1), ("a", 2)]),
        # WA TR 26 (number from memory): next best, third best ... decide.
        ((Contender("a", (500, 490)), Contender("b", (500, 495))), [("b", 1), ("a", 2)]),
        ((Contender("a", (763, 745)), Contender("b", (763, 745, 739))), [("b", 1), ("a", 2)]),
        # The next best separates at once: a longer tail does not make up for it.
        ((Contender("a", (500, 400, 400, 400)), Contender("b", (500, 401))), [("b", 1), ("a", 2)]),
        # A missing next best loses to any mark.
        ((Contender("a", (500,)), Contender("b", (500, 1))), [("b", 1), ("a", 2)]),
        # Equal throughout: the place is shared and the next number skipped, first place included.
        ((Contender("a", (500,)), Contender("b", (500,)), Contender("c", (499,))), [("a", 1), ("b", 1), ("c", 3)]),
        (
            (Contender("a", (500,)), *(Contender(n, (499,)) for n in "bcd"), Contender("e", (498,))),
            [("a", 1), ("b", 2), ("c", 2), ("d", 2), ("e", 5)],
        ),
        # Guests stand where their mark puts them, without a place; nobody moves down.
        ((Contender("g", (602,), **G), Contender("a", (590,))), [("g", None), ("a", 1)]),
        (
            (Contender("g", (500,), **G), Contender("a", (500,)), Contender("b", (500,)), Contender("c", (400,))),
            [("g", None), ("a", 1), ("b", 1), ("c", 3)],
        ),
        # No mark, no place; NM before DNS before DQ, each in the order given. A status outweighs marks.
        (
            (
                Contender("q", (700,), "DQ"), Contender("s", (), "DNS"), Contender("n", (), "NM"),
                Contender("m", ()), Contender("a", (500,)), Contender("g", (), guest=True),
            ),
            [("a", 1), ("n", None), ("m", None), ("g", None), ("s", None), ("q", None)],
        ),
    ],
)  # fmt: skip
def test_places(contenders, order):
    assert ranked(*contenders) == order


def test_each_side_of_a_next_best_is_told():
    first, second, third = rank([Contender("a", (500, 480)), Contender("b", (500, 490)), Contender("c", (499,))])
    assert first == Placed("b", 1, 500, beat=Decision("a", 2, 490, 480))
    assert second == Placed("a", 2, 500, lost_to=Decision("b", 2, 480, 490))
    assert third == Placed("c", 3, 499)


def test_the_middle_of_three_equal_bests_has_both_decisions():
    middle = rank([Contender("a", (500,)), Contender("b", (500, 490)), Contender("c", (500, 490, 480))])[1]
    assert middle == Placed("b", 2, 500, beat=Decision("a", 2, 490, None), lost_to=Decision("c", 3, None, 480))


def test_sharers_name_one_another_and_tell_who_is_above_and_below():
    placed = rank(
        [Contender("a", (500, 450)), Contender("b", (500, 450)), Contender("c", (500, 440)), Contender("d", (500, 460))]
    )
    assert placed == [
        Placed("d", 1, 500, beat=Decision("a", 2, 460, 450)),
        Placed("a", 2, 500, "", False, ("a", "b"), Decision("c", 2, 450, 440), Decision("d", 2, 450, 460)),
        Placed("b", 2, 500, "", False, ("a", "b"), Decision("c", 2, 450, 440), Decision("d", 2, 450, 460)),
        Placed("c", 4, 500, lost_to=Decision("a", 2, 440, 450)),
    ]
    assert [p.shared_with for p in placed] == [(), ("b",), ("a",), ()]


def test_a_place_is_never_shared_with_a_guest_nor_decided_against_one():
    placed = rank(
        [
            Contender("a", (500, 490)), Contender("g", (500, 490), **G), Contender("h", (500, 480), **G),
            Contender("b", (500, 470)),
        ]
    )  # fmt: skip
    assert placed == [
        Placed("a", 1, 500, beat=Decision("b", 2, 490, 470)),
        Placed("g", None, 500, guest=True, beat=Decision("h", 2, 490, 480)),
        Placed("h", None, 500, guest=True, beat=Decision("b", 2, 480, 470), lost_to=Decision("a", 2, 480, 490)),
        Placed("b", 2, 500, lost_to=Decision("a", 2, 470, 490)),
    ]


def test_those_without_a_mark_keep_no_best():
    assert rank([Contender("q", (700,), "DQ", True), Contender("m", ())]) == [
        Placed("m", None, None, "NM"),
        Placed("q", None, None, "DQ", True),
    ]


def test_classes_have_places_of_their_own():
    placed = rank_by_class(
        [Contender("a", (500,), klass="T20"), Contender("b", (400,)), Contender("c", (510,), klass="T20")]
    )
    assert [(p.entry, p.place) for p in placed] == [("b", 1), ("c", 1), ("a", 2)]
