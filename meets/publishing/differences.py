"""What is different between two versions of a document, line by line, each difference with its sentence."""

from collections.abc import Iterator, Mapping

from django.utils.translation import gettext as _

Document = Mapping[str, object]
Change = dict[str, str]
MATTERS = frozenset(("place", "mark", "status", "points", "trial", "line", "guest", "class"))
"""What somebody could protest against; a wind that arrives late, a sign or a standard is none of it."""


def changes_between(before: Document | None, now: Document) -> list[Change]:
    """In the order of the new result; those who are no longer in it stand at the end."""
    if before is None:
        return []
    old = {line["entry"]: line for line in before["lines"]}
    new = {line["entry"]: line for line in now["lines"]}
    found = []
    for entry, line in new.items():
        if entry in old:
            found += _in_line(old[entry], line)
        else:
            found.append(_change(line, "line", "", _("in the result"), _("Bib %(bib)s is new in the result.")))
    for entry, line in old.items():
        if entry not in new:
            found.append(_change(line, "line", _("in the result"), "", _("Bib %(bib)s is no longer in the result.")))
    return found


def matters(changes: list[Change]) -> bool:
    """Whether any of them could be protested against, so that a new time for protests begins."""
    return any(change["what"] in MATTERS for change in changes)


def _in_line(old: Document, new: Document) -> Iterator[Change]:
    for what, words, value in _VALUES:
        was, is_now = value(old), value(new)
        if was != is_now:
            yield _change(new, what, was, is_now, str(words()))
    if old["name"] != new["name"]:
        # Neither name is said: one of them may be more than is shown from now on.
        says = _("Bib %(bib)s: the name is written otherwise.") % {"bib": new["bib"]}
        yield {"entry": new["entry"], "bib": new["bib"], "what": "name", "was": "", "now": "", "says": says}
    yield from _in_series(old, new)


def _in_series(old: Document, new: Document) -> Iterator[Change]:
    if "DQ" in (old["status"], new["status"]) and old["status"] != new["status"]:
        return
    before, now = _trials(old), _trials(new)
    for turn in sorted({*before, *now}):
        was, is_now = before.get(turn, ("", "")), now.get(turn, ("", ""))
        round = f"{turn[0]}" if not turn[1] else _("%(round)d (replacement)") % {"round": turn[0]}
        if was[0] != is_now[0]:
            says = _("Bib %(bib)s, round %(round)s: was %(was)s, is now %(now)s.")
            yield _change(new, "trial", was[0], is_now[0], says, round=round)
        elif was[1] != is_now[1]:
            says = _("Bib %(bib)s, round %(round)s: wind was %(was)s, is now %(now)s.")
            yield _change(new, "wind", was[1], is_now[1], says, round=round)


def _trials(line: Document) -> dict[tuple[int, int], tuple[str, str]]:
    return {
        (trial["round"], trial["replacement"]): (
            trial["shown"] if trial["counts"] else f"({trial['shown']})",
            trial["wind"]["shown"] if trial["wind"] else "",
        )
        for trial in line["series"]
    }


def _change(line: Document, what: str, was: str, now: str, says: str, **more: str) -> Change:
    words = {"bib": line["bib"], "was": was or _("nothing"), "now": now or _("nothing"), **more}
    return {"entry": line["entry"], "bib": line["bib"], "what": what, "was": was, "now": now, "says": says % words}


def _place(line: Document) -> str:
    if line["place"] is None:
        return ""
    return f"{line['place']}=" if line["shared"] else f"{line['place']}"


def _status(line: Document) -> str:
    return ": ".join(part for part in (line["status"], line["status_reason"]) if part)


def _mark(mark: Document | None) -> str:
    return mark["shown"] if mark else ""


_VALUES = (
    ("place", lambda: _("Bib %(bib)s: place was %(was)s, is now %(now)s."), _place),
    ("status", lambda: _("Bib %(bib)s: status was %(was)s, is now %(now)s."), _status),
    ("mark", lambda: _("Bib %(bib)s: best was %(was)s, is now %(now)s."), lambda line: _mark(line["best"])),
    ("points", lambda: _("Bib %(bib)s: points were %(was)s, are now %(now)s."), lambda line: line["points"]),
    (
        "best legal",
        lambda: _("Bib %(bib)s: best legal mark was %(was)s, is now %(now)s."),
        lambda line: _mark(line["best_legal"]),
    ),
    ("signs", lambda: _("Bib %(bib)s: signs were %(was)s, are now %(now)s."), lambda line: " ".join(line["signs"])),
    ("standard", lambda: _("Bib %(bib)s: standard was %(was)s, is now %(now)s."), lambda line: line["standard"]),
    (
        "records",
        lambda: _("Bib %(bib)s: records were %(was)s, are now %(now)s."),
        lambda line: ", ".join(line["records"]),
    ),
    ("qualified", lambda: _("Bib %(bib)s: qualified was %(was)s, is now %(now)s."), lambda line: line["qualified"]),
    (
        "guest",
        lambda: _("Bib %(bib)s: guest was %(was)s, is now %(now)s."),
        lambda line: _("yes") if line["guest"] else "",
    ),
    ("class", lambda: _("Bib %(bib)s: class was %(was)s, is now %(now)s."), lambda line: line["klass"]),
    ("string", lambda: _("Bib %(bib)s: string was %(was)s, is now %(now)s."), lambda line: line["string"]),
    (
        "school",
        lambda: _("Bib %(bib)s: school was %(was)s, is now %(now)s."),
        lambda line: line["school"]["name"],
    ),
)


def standings_changes(before: Document | None, now: Document) -> list[Change]:
    """Between two versions of the team standings, school by school."""
    if before is None:
        return []
    old = {school["code"]: school for school in before["schools"]}
    new = {school["code"]: school for school in now["schools"]}
    found = []
    for code, school in new.items():
        for what, says, value in _OF_SCHOOLS:
            was, is_now = value(old[code]) if code in old else "", value(school)
            if was != is_now:
                found.append(_of_school(school, what, was, is_now, str(says())))
    for code, school in old.items():
        if code not in new:
            says = _("%(school)s is no longer in the standings.")
            found.append(_of_school(school, "line", _("in the standings"), "", says))
    return found


def _of_school(school: Document, what: str, was: str, now: str, says: str) -> Change:
    words = {"school": school["name"], "was": was or _("nothing"), "now": now or _("nothing")}
    return {"entry": school["code"], "bib": "", "what": what, "was": was, "now": now, "says": says % words}


_OF_SCHOOLS = (
    ("place", lambda: _("%(school)s: place was %(was)s, is now %(now)s."), _place),
    ("points", lambda: _("%(school)s: points were %(was)s, are now %(now)s."), lambda school: school["points"]),
    (
        "penalty",
        lambda: _("%(school)s: penalty was %(was)s, is now %(now)s."),
        lambda school: "; ".join(f"{taken['points']} ({taken['reason']})" for taken in school["penalties"]),
    ),
)
