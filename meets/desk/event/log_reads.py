"""The log of an event as it is read aloud, line by line."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from meets.desk.event.log_words import LogWords
from meets.models import Event
from meets.running.reads import rows_of
from scoring.facts import kind_of
from scoring.marks import Unit


@dataclass(frozen=True)
class LogLine:
    """A row of the log as it is read aloud. `replaced_by`: revs of the rows that supersede it."""

    id: str
    rev: int
    at: datetime | None
    by: str
    recorder: str
    says: str
    reason: str
    replaced_by: tuple[int, ...]
    replaces: tuple[int, ...]
    entry: str
    kind: str


def log_lines(event: Event) -> tuple[LogLine, ...]:
    """The whole log, the newest row first."""
    words = LogWords(dict(_bibs(event)), Unit(event.meet.unit))
    rows = rows_of(event)
    revs = {row.id: row.rev for row in rows}
    replaced_by: dict[str, list[int]] = {}
    for row in rows:
        for old in row.supersedes:
            replaced_by.setdefault(old, []).append(row.rev)
    return tuple(
        LogLine(
            id=row.id,
            rev=row.rev,
            at=row.at,
            by=row.by,
            recorder=row.recorder,
            says=words(row.fact),
            reason=row.reason,
            replaced_by=tuple(replaced_by.get(row.id, ())),
            replaces=tuple(revs[old] for old in row.supersedes if old in revs),
            entry=getattr(row.fact, "entry", ""),
            kind=kind_of(row.fact),
        )
        for row in reversed(rows)
    )


def _bibs(event: Event) -> Iterator[tuple[str, str]]:
    for pk, bib in event.entries.values_list("pk", "bib"):
        yield str(pk), bib or f"#{pk}"
