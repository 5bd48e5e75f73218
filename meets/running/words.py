"""Sentences of the engine, put through gettext: it answers with English messages and their values."""

from typing import Protocol

from django.utils.translation import gettext

from scoring.errors import RuleError
from scoring.explain import NO_MARK, NTH

_PHRASES = {NO_MARK, *NTH.values()}


class Worded(Protocol):
    """Anything with a message and its values: a sentence, a question, an alarm."""

    message: str
    values: dict[str, object]


def say(worded: Worded) -> str:
    """The sentence in the reader's language."""
    values = {name: gettext(value) if value in _PHRASES else value for name, value in worded.values.items()}
    return gettext(worded.message) % values


def say_refused(problem: RuleError) -> str:
    """Why the rules refuse a value, in the reader's language."""
    expected = gettext(problem.phrase)
    expected = expected % problem.params if problem.params else expected
    place = f"{problem.where}: " if problem.where else ""
    return place + gettext(problem.message) % {"value": problem.shown, "expected": expected}


def year_words(year_group: str) -> str:
    """A bare number says what it is: a school year, or a year of birth where the school gave none."""
    if not year_group.isdecimal():
        return year_group
    words = gettext("born %(year)s") if len(year_group) == len("2013") else gettext("year %(year)s")
    return words % {"year": year_group}
