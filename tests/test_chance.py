"""Telling a number from digits that are somewhere by chance."""

import pytest

from tests.chance import holds_number


@pytest.mark.parametrize("text", ["543", '"mark":543,', '["543"]', "5.43+1.2", ">543<", "=543&", "a 543 b"])
def test_a_number_is_found(text):
    assert holds_number("5.?43", text)


@pytest.mark.parametrize(
    "text",
    ["", "1835430000000", "5430", "0543", "e543", "543f", "9b1c-543a-4f00", "ab-543-cd", "Qw543", "k_543", "5 43x"],
)
def test_digits_inside_of_something_else_are_not(text):
    assert not holds_number("5.?43", text)
