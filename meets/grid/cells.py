"""What was typed from a field sheet, by bib: kept, compared cell by cell, shown again, made a sheet for the log."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from meets.running.digits import NOT_STARTED
from meets.running.on_paper import FieldSheet, LaterBlock, SheetTrial


@dataclass(slots=True)
class Cells:
    """A typing by bib, never by line. `boxes`: bib -> round -> (trial, wind).

    `lines`: first round of a block -> bibs in the order of its lines.
    """

    boxes: dict[str, dict[int, tuple[str, str]]] = field(default_factory=dict)
    lines: dict[int, list[str]] = field(default_factory=dict)
    no_gauge: bool = False
    order_written: bool = True

    def plain(self) -> dict[str, object]:
        """As it is kept with a typed sheet."""
        return {
            "boxes": {bib: {str(r): list(box) for r, box in own.items()} for bib, own in self.boxes.items()},
            "lines": {str(first): bibs for first, bibs in self.lines.items()},
            "no_gauge": self.no_gauge,
            "order_written": self.order_written,
        }

    @classmethod
    def of(cls, plain: Mapping[str, object]) -> Cells:
        boxes = {bib: {int(r): (box[0], box[1]) for r, box in own.items()} for bib, own in dict(plain["boxes"]).items()}
        lines = {int(first): list(bibs) for first, bibs in dict(plain["lines"]).items()}
        return cls(boxes, lines, bool(plain["no_gauge"]), bool(plain["order_written"]))

    def flat(self) -> dict[str, str]:
        """Every cell that two typings are compared by, by a name that says where it is."""
        found = {"no_gauge": "yes" if self.no_gauge else "", "order_written": "yes" if self.order_written else ""}
        for bib, own in self.boxes.items():
            for round, (trial, wind) in own.items():
                found[f"t|{bib}|{round}"], found[f"w|{bib}|{round}"] = trial, wind
        for first, bibs in self.lines.items():
            found |= {f"line|{first}|{number}": bib for number, bib in enumerate(bibs, 1)}
        return {name: text for name, text in found.items() if text}


def from_flat(flat: Mapping[str, str]) -> Cells:
    """Cells from what `flat` gives. Lines left empty close up."""
    cells = Cells(no_gauge=bool(flat.get("no_gauge")), order_written=bool(flat.get("order_written")))
    lines: dict[int, dict[int, str]] = {}
    for name, text in flat.items():
        kind, _bar, rest = name.partition("|")
        which, _bar, number = rest.rpartition("|")
        if kind == "t" and text:
            cells.boxes.setdefault(which, {})[int(number)] = (text, flat.get(f"w|{which}|{number}", ""))
        elif kind == "line" and text:
            lines.setdefault(int(which), {})[int(number)] = text
    cells.boxes = {bib: dict(sorted(own.items())) for bib, own in cells.boxes.items()}
    cells.lines = {first: [bib for _n, bib in sorted(own.items())] for first, own in sorted(lines.items())}
    return cells


def values_of(cells: Cells, given: Mapping[tuple[int, int], str], firsts: Sequence[int]) -> dict[str, str]:
    """Cells as the fields of the form again. `given`: (first round, line) -> printed bib; `firsts`: of the blocks."""
    values = {"no_gauge": "1" if cells.no_gauge else "", "no_order": "" if cells.order_written else "1"}
    places = {(first, bib): line for (first, line), bib in given.items()}
    for first, bibs in cells.lines.items():
        line = max((number for block, number in given if block == first), default=0)
        for bib in bibs:
            if (first, bib) not in places:
                line += 1
                places[first, bib] = line
                values[f"bib_{first}_{line}"] = bib
    for bib, own in cells.boxes.items():
        for round, (trial, wind) in own.items():
            first = max(block for block in firsts if block <= round)
            if (first, bib) in places:
                name = f"_{first}_{places[first, bib]}_{round}"
                values[f"t{name}"], values[f"w{name}"] = trial, wind
    return values


def field_sheet(cells: Cells, keys: Mapping[str, str]) -> FieldSheet:
    """The cells as a sheet by entry keys. `keys`: bib -> entry key; bibs that have gone since are left out."""
    trials, absent = [], []
    for bib, own in cells.boxes.items():
        for round, (trial, wind) in own.items():
            if bib not in keys:
                continue
            if trial == NOT_STARTED:
                absent.append(keys[bib])
            else:
                trials.append(SheetTrial(keys[bib], round, trial, wind))
    return FieldSheet(
        order=tuple(keys[bib] for bib in cells.lines.get(1, ()) if bib in keys),
        trials=tuple(trials),
        did_not_start=tuple(absent),
        later=tuple(
            LaterBlock(first, tuple(keys[bib] for bib in bibs if bib in keys))
            for first, bibs in sorted(cells.lines.items())
            if first > 1
        ),
        no_gauge=cells.no_gauge,
        order_written=cells.order_written,
    )
