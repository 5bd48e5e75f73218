"""Rows of the log as sentences."""

from meets.desk.event.log_words import WORDS
from scoring.facts import KINDS


def test_every_kind_of_row_has_its_sentence():
    assert set(WORDS) == set(KINDS.values())
