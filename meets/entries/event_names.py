"""What the name of an event says: "U15 Girls Triple Jump", "Girls U15 TJ", "under 15 triple jump (girls)"."""

from __future__ import annotations

import re
from dataclasses import dataclass

from athletes.models import Discipline
from athletes.reading.names import tidy_text
from meets.models import Event

DISCIPLINES = (
    (re.compile(r"\b(?:triple[ -]?jump|triple|tj)\b"), Discipline.TRIPLE_JUMP),
    (re.compile(r"\b(?:long[ -]?jump|long|lj)\b"), Discipline.LONG_JUMP),
)
CATEGORIES = (
    (re.compile(r"\b(?:mixed|open|girls (?:and|&) boys|boys (?:and|&) girls)(?!\w)"), Event.Category.MIXED),
    (re.compile(r"\b(?:girls?|g|women|womens|female|females|f)\b"), Event.Category.GIRLS),
    (re.compile(r"\b(?:boys?|b|men|mens|male|males|m)\b"), Event.Category.BOYS),
)
UNDER = re.compile(r"\b(?:under|u)[ -]?([0-9]{1,2})(?![0-9])")
AND_UNDER = re.compile(r"\b([0-9]{1,2}) ?(?:u|and under|& under)\b")
GRADE = re.compile(r"\b(?:grade|g)[ -]?([0-9]{1,2})\b")
HIGH_SCHOOL = re.compile(r"\b(?:high school|hs)\b")


FILLERS = frozenset(["", "the", "event", "competition", "jump"])


@dataclass(frozen=True, slots=True)
class EventName:
    """Age group (in the short form of the schemes, else as written), category and discipline; '' is unsaid.

    `rest` are the words that say none of these.
    """

    age_group: str
    category: str
    discipline: str
    rest: str = ""

    @property
    def is_whole(self) -> bool:
        return bool(self.age_group and self.category and self.discipline)


def parse_event_name(text: str) -> EventName:
    """Take a name apart in any order of its three parts.

    >>> name = parse_event_name("girls under 15 TJ")
    >>> name.age_group, str(name.category), str(name.discipline)
    ('U15', 'girls', 'TJ')
    """
    rest = re.sub(r"[’'()]", " ", tidy_text(text)).casefold().replace("girl s", "girls").replace("boy s", "boys")
    age_group, rest = _age_group(rest)
    discipline, rest = _first_of(DISCIPLINES, rest)
    category, rest = _first_of(CATEGORIES, rest)
    left = " ".join(word for word in re.split(r"[\s,;/–-]+", rest) if word not in FILLERS)
    if age_group:
        return EventName(age_group, category, discipline, left)
    return EventName(left.capitalize(), category, discipline)


def _age_group(text: str) -> tuple[str, str]:
    for pattern, form in ((UNDER, "U{}"), (AND_UNDER, "{}U"), (GRADE, "G{}"), (HIGH_SCHOOL, "HS")):
        if found := pattern.search(text):
            return form.format(*(int(number) for number in found.groups())), _without(text, found)
    if found := re.search(r"\b[0-9]{1,2}-[0-9]{1,2}\b", text):
        return found[0], _without(text, found)
    return "", text


def _first_of(table, text: str) -> tuple[str, str]:
    for pattern, value in table:
        if found := pattern.search(text):
            return value, _without(text, found)
    return "", text


def _without(text: str, found: re.Match[str]) -> str:
    return f"{text[: found.start()]} {text[found.end() :]}"
