"""Whether a published file holds: its hash, and places, bests and points worked out anew from what is written in it.

Nothing is asked but the file and the rules in it. A file may come from anybody.
"""

import json
from collections.abc import Iterator, Mapping

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from meets.publishing.canonical import NotCanonical, canonical, sha256_of
from meets.publishing.schema import schema_of, wrong_in
from meets.publishing.verdict import Checked, Verdict
from meets.publishing.verify_result import check_result
from meets.publishing.verify_standings import check_standings
from scoring.errors import RuleError

Document = Mapping[str, object]
MOST_BYTES = 5 * 1024 * 1024


class _Unreadable(Exception):
    """Its text says why a file is no published one."""


def verify(content: bytes, printed_hash: str = "") -> Verdict:
    """Look at a file as published. `printed_hash`: the beginning of the hash as it stands on paper, if there is one."""
    try:
        document, written = _read(content)
    except _Unreadable as why:
        return Verdict((Checked(False, str(why)),))
    found = [*_hash(document, written, printed_hash), _about(document)]
    try:
        found += check_result(document) if document["kind"] == "result" else check_standings(document)
    except RuleError as problem:
        found.append(Checked(False, _("The rules written in the file cannot be: %(why)s.") % {"why": problem}))
    return Verdict(tuple(found))


def _read(content: bytes) -> tuple[Document, str]:
    """The document and the hash written beside it."""
    if len(content) > MOST_BYTES:
        raise _Unreadable(_("The file is larger than 5 MB: no published result is."))
    try:
        file = json.loads(content.decode("utf-8-sig"), object_pairs_hook=_once, parse_constant=_no_constant)
    except (ValueError, RecursionError) as problem:
        raise _Unreadable(_("The file is not JSON: it is damaged, or another kind of file.")) from problem
    kind = file["document"].get("kind") if isinstance(file, dict) and isinstance(file.get("document"), dict) else None
    if kind not in ("result", "standings"):
        raise _Unreadable(_("The file is no published result: expected an object with “document” and “sha256”."))
    wrong = list(wrong_in(file, schema_of(kind)))
    if wrong:
        says = _("The file is not as published ones are: %(where)s")
        more = len(wrong) - 3
        rest = ngettext("; and %(n)d more", "; and %(n)d more", more) % {"n": more} if more > 0 else ""
        raise _Unreadable(says % {"where": "; ".join(wrong[:3]) + rest})
    return file["document"], file["sha256"]


def _once(pairs: list[tuple[str, object]]) -> dict[str, object]:
    """Two values under one name would let a file say one thing to us and another to somebody else."""
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a name stands twice in one object")
    return found


def _no_constant(name: str) -> object:
    raise ValueError(f"{name} is no number")


def _hash(document: Document, written: str, printed: str) -> Iterator[Checked]:
    try:
        own = sha256_of(canonical(document))
    except NotCanonical as problem:
        yield Checked(False, _("The document has no hash: %(why)s.") % {"why": problem})
        return
    if own == written:
        yield Checked(True, _("The hash holds: %(hash)s.") % {"hash": own})
    else:
        yield Checked(False, _("The hash does not hold: the document has been changed since it was published."))
    if printed:
        same = own.startswith(printed.strip().lower())
        says = _("It is the version on paper: the hash begins with %(hash)s.")
        other = _("It is not the version on paper: there the hash begins with %(hash)s, here with %(own)s.")
        yield Checked(same, (says if same else other) % {"hash": printed.strip(), "own": own[: len(printed.strip())]})


def _about(document: Document) -> Checked:
    event = document["event"]["name"] if document["kind"] == "result" else _("team standings")
    says = _("%(meet)s, %(event)s, version %(version)d, %(status)s, published %(when)s by %(who)s.")
    return Checked(
        None,
        says
        % {
            "meet": document["meet"]["name"],
            "event": event,
            "version": document["version"],
            "status": document["status"],
            "when": document["published_at"],
            "who": document["published_by"],
        },
    )
