"""A checked file as people take it away: problems as CSV, the whole check as plain values or as lines of text."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from athletes.reading.table import shown
from athletes.reading.writing import csv_text
from meets.entries.outcome import CheckedFile, CheckedLine, Verdict
from meets.entries.values import show_board
from scoring.marks import Unit, show_mark

VERDICT_WORDS = {
    Verdict.ACCEPTED: gettext_lazy("accepted"),
    Verdict.ADVICE: gettext_lazy("accepted with advice"),
    Verdict.ASKED: gettext_lazy("to be decided"),
    Verdict.REFUSED: gettext_lazy("refused"),
    Verdict.REPEAT: gettext_lazy("repeat"),
    Verdict.EMPTY: gettext_lazy("empty"),
}


def problem_lines(checked: CheckedFile, stored: Collection[int] | None) -> list[CheckedLine]:
    """Lines with something to say, and those not stored; `stored` is None before anything is."""
    return [
        line
        for line in checked.lines
        if line.verdict is not Verdict.EMPTY and (line.reasons or (stored is not None and line.number not in stored))
    ]


def empty_file(headings: Sequence[str]) -> bytes:
    """An entry file to fill in: its line of headings alone."""
    return csv_text(headings, ()).encode()


def problems_csv(checked: CheckedFile, stored: Collection[int] | None = None) -> bytes:
    """The problem lines: what is wrong, then the cells of the file, so that they can be corrected in one place."""
    headings = [_("Line"), _("Outcome"), _("Why"), *checked.headings]
    rows = []
    for line in problem_lines(checked, stored):
        why = " ".join(f"{reason.column}: {reason.says}" if reason.column else reason.says for reason in line.reasons)
        rows.append([line.number, outcome_words(line, stored), why, *(shown(value) for value in line.values)])
    return csv_text(headings, rows).encode()


def outcome_words(line: CheckedLine, stored: Collection[int] | None) -> str:
    words = str(VERDICT_WORDS[line.verdict])
    if stored is None:
        return words
    if line.number in stored:
        return _("stored")
    return _("left out") if line.verdict in (Verdict.ACCEPTED, Verdict.ADVICE) else words


def plain(checked: CheckedFile, unit: Unit, stored: Collection[int] | None) -> dict[str, Any]:
    """The check as plain values for JSON. Birth dates stay out of it."""
    return {
        "file": checked.name,
        "stored": len(stored) if stored is not None else 0,
        "counts": {verdict.value: count for verdict, count in checked.counts().items()},
        "notices": list(checked.notices),
        "late": checked.late,
        "new_schools": [{"code": school.code, "name": school.name} for school in checked.new_schools],
        "lines": [_plain_line(line, unit, stored) for line in checked.lines],
    }


def _plain_line(line: CheckedLine, unit: Unit, stored: Collection[int] | None) -> dict[str, Any]:
    wanted = line.wanted
    entry = None
    if wanted is not None:
        entry = {
            "school": wanted.school_code,
            "name": wanted.name,
            "event": wanted.event_name,
            "string": wanted.string,
            "guest": wanted.guest,
            "best": None if wanted.seed_mark is None else show_mark(wanted.seed_mark, unit),
            "board": None if wanted.board_cm is None else show_board(wanted.board_cm, unit),
        }
    return {
        "line": line.number,
        "outcome": line.verdict.value,
        "stored": stored is not None and line.number in stored,
        "reasons": [
            {"weight": reason.weight.name.lower(), "column": reason.column, "says": reason.says}
            for reason in line.reasons
        ],
        "entry": entry,
    }


def table_text(checked: CheckedFile) -> str:
    """The check for a terminal: outcome and sentence of every line that has one, then how many lines of each kind."""
    width = max(len(str(words)) for words in VERDICT_WORDS.values())
    lines = [
        f"{VERDICT_WORDS[line.verdict]!s:<{width}}  {sentence}"
        for line in checked.lines
        for sentence in line.sentences(checked.name)
    ]
    lines.extend(checked.notices)
    counts = checked.counts()
    lines.append(", ".join(f"{counts[verdict]} {VERDICT_WORDS[verdict]}" for verdict in Verdict))
    return "\n".join(lines)
