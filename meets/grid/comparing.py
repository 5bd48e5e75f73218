"""Typings of one sheet: where two differ, what is on the paper there, and what changed while a form was open."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _

from meets.grid.cells import Cells, from_flat
from meets.grid.reading import Reader
from meets.running.record import Overtaken
from meets.running.refusals import Refusal


@dataclass(frozen=True, slots=True)
class TwoTypings:
    """A cell in which two typings differ: where it is on the paper, and what each has."""

    name: str
    where: str
    first: str
    second: str


def differences(first: Cells, second: Cells) -> list[TwoTypings]:
    """Cells that differ, in the order of the paper's lines, a wind behind its trial."""
    one, two = first.flat(), second.flat()
    bibs = list(dict.fromkeys([*first.lines.get(1, ()), *first.boxes, *second.boxes]))
    names = [name for name in {**one, **two} if one.get(name, "") != two.get(name, "")]
    names.sort(key=lambda name: _place(name, bibs))
    return [TwoTypings(name, _where(name), one.get(name, ""), two.get(name, "")) for name in names]


def _place(name: str, bibs: list[str]) -> tuple[int, int, int, str]:
    kind, _bar, rest = name.partition("|")
    which, _bar, number = rest.rpartition("|")
    if kind in ("t", "w"):
        return (1, bibs.index(which) if which in bibs else len(bibs), int(number), kind)
    return (2, int(which), int(number), kind) if kind == "line" else (0, 0, 0, kind)


def _where(name: str) -> str:
    kind, _bar, rest = name.partition("|")
    which, _bar, number = rest.rpartition("|")
    match kind:
        case "t":
            return _("Bib %(bib)s, round %(round)s") % {"bib": which, "round": number}
        case "w":
            return _("Bib %(bib)s, round %(round)s: wind") % {"bib": which, "round": number}
        case "line":
            return _("From round %(round)s on, line %(line)s: bib") % {"round": which, "line": number}
        case "no_gauge":
            return _("No wind gauge on this sheet")
        case _:
            return _("The order of the later rounds is written")


def settled(first: Cells, second: Cells, chosen: Mapping[str, str], reader: Reader) -> Cells:
    """The first typing with every difference as it is on the paper. Raises Refusal with a sentence.

    `chosen`: name of a cell -> what is on the paper; '' for an empty box.
    """
    flat = first.flat()
    for one in differences(first, second):
        if one.name not in chosen:
            raise Refusal(_("%(where)s: say what is on the paper.") % {"where": one.where})
        text, wrong = reader.cell(one.name, chosen[one.name])
        if wrong:
            raise Refusal(f"{one.where}: {wrong}")
        flat[one.name] = text
    return from_flat(flat)


def fingerprint(kept: Mapping[str, object]) -> str:
    """A name for a typed sheet as it stands, sent along with every form about it."""
    return hashlib.sha256(json.dumps(kept, sort_keys=True).encode()).hexdigest()[:16]


class CellsOvertaken(Overtaken):
    """Somebody changed boxes since the form was opened.

    `says`: a sentence for each such box. `merged`: what stands, with the boxes that were changed in the form.
    """

    def __init__(self, says: list[str], merged: Cells) -> None:
        super().__init__(" ".join(says))
        self.says, self.merged = says, merged


def refuse_overtaken_cells(*, seen: Mapping[str, str], stands: Cells, typed: Cells) -> None:
    """Raises CellsOvertaken unless the form already says what somebody else put into boxes since it was opened."""
    then, now, mine = seen, stands.flat(), typed.flat()
    others = [name for name in {**then, **now} if then.get(name, "") != now.get(name, "")]
    if all(mine.get(name, "") == now.get(name, "") for name in others):
        return
    touched = {name for name in {**then, **mine} if then.get(name, "") != mine.get(name, "")}
    merged = now | {name: mine.get(name, "") for name in touched}
    bibs = list(stands.boxes)
    says = []
    for name in sorted(others, key=lambda name: _place(name, bibs)):
        values = {"where": _where(name), "now": now.get(name) or _("nothing"), "typed": mine.get(name) or _("nothing")}
        if name in touched and mine.get(name, "") != now.get(name, ""):
            says.append(_("%(where)s: %(now)s stands there now, and you typed %(typed)s.") % values)
        else:
            says.append(_("%(where)s: %(now)s stands there now.") % values)
    raise CellsOvertaken(says, from_flat(merged))
