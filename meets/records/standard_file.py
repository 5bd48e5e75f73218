"""A file of standards: which column is which, and what is wrong where."""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.translation import gettext as _

from athletes.reading.names import folded
from athletes.reading.opening import read_table
from athletes.reading.table import Table, Unreadable, place
from meets.models import Meet
from meets.records.standard_lines import HEADINGS, Column, Given, read_standards

MOST_PROBLEMS = 20
REQUIRED = (Column.NAME, Column.DISCIPLINE, Column.MARK)
SPELLINGS = {
    Column.NAME: "standard name step award badge level grade",
    Column.DISCIPLINE: "jump discipline event",
    Column.CATEGORY: "for category sex gender girlsorboys girlsboys boysgirls",
    Column.AGE_GROUP: "agegroup age agecategory group",
    Column.MARK: "mark distance threshold performance metres",
}
_COLUMN_OF = {spelling: column for column, spellings in SPELLINGS.items() for spelling in spellings.split()}


def column_of(heading: str) -> Column | None:
    return _COLUMN_OF.get(folded(heading).replace(" ", "").replace("_", ""))


def _looks_right(texts: Sequence[str]) -> bool:
    return sum(column in {column_of(text) for text in texts} for column in REQUIRED) >= len(REQUIRED) - 1


def read_file(name: str, data: bytes, meet: Meet) -> Given:
    """The standards of a CSV or XLSX file. Raises Unreadable for one that cannot be taken as a whole."""
    table = read_table(name, data, looks_right=_looks_right)
    columns = _columns(table)
    return read_standards(
        ((line.number, {column: line.at(index) for column, index in columns.items()}) for line in table.lines), meet
    )


def _columns(table: Table) -> dict[Column, int]:
    found: dict[Column, int] = {}
    for index, heading in enumerate(table.headings):
        column = column_of(heading)
        if column in found:
            raise Unreadable(
                table.name,
                _('the columns "%(first)s" and "%(second)s" both say: %(field)s. Keep one of them.')
                % {"first": table.headings[found[column]], "second": heading, "field": HEADINGS[column]},
                line=table.heading_line,
                column=heading,
            )
        if column is not None:
            found[column] = index
    if missing := [str(HEADINGS[column]) for column in REQUIRED if column not in found]:
        says = _(
            "the headings do not name a column for: %(missing)s. Expected: %(expected)s. "
            "Name the columns in the first line and send the file again."
        ) % {"missing": ", ".join(missing), "expected": ", ".join(str(words) for words in HEADINGS.values())}
        raise Unreadable(table.name, says, line=table.heading_line)
    return found


def problems_in_words(given: Given, file: str) -> list[str]:
    """Each problem with file, line and column; of very many only the first."""
    said = [
        f"{place(file, one.line, str(HEADINGS[one.column]) if one.column else '')}: {one.says}"
        for one in given.problems[:MOST_PROBLEMS]
    ]
    more = len(given.problems) - MOST_PROBLEMS
    return [*said, _("... and %(count)d more.") % {"count": more}] if more > 0 else said
