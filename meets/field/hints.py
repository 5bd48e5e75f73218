"""What whoever looks after the laptop is told at the start. Lines of text, wrapped by whoever prints them."""

from pathlib import Path

from django.utils.translation import gettext as _

from meets.checks import sqlite_loses_nothing

KEPT_ADDRESS = "address"


def laptop_hints(port: int) -> list[str]:
    """Power, lid and firewall: what has ended a meet before (common practice)."""
    return [
        _("Plug the laptop in or know how long its battery lasts. Switch sleep off and keep the lid open."),
        _(
            "If phones do not reach it, the firewall of this laptop asks about Python, or blocks port %(port)d: allow "
            "it for this network. Guest networks often keep devices apart: then use a router or hotspot of your own."
        )
        % {"port": port},
        _("Leave it in the same network all day: phones know it by its address, and so do the printed codes."),
    ]


def plain_lacks() -> list[str]:
    """What phones lack without HTTPS, in words."""
    return [
        _("Without HTTPS: whoever is in the same network can read what phones send, and names with it."),
        _(
            "Phones keep what was saved, but the pit page must stay open: it cannot be loaded again while this laptop "
            "is out of reach, and the screen switches itself off as usual. Without --plain this is better."
        ),
    ]


def sqlite_hint() -> str:
    """The fault of this computer's SQLite, if it has it, and what is done about it."""
    found = sqlite_loses_nothing(databases=["default"])
    if not found:
        return ""
    return " ".join(
        [
            str(found[0].msg),
            _("The server keeps writers apart and tidies up only while nobody writes, which should avoid it."),
            str(found[0].hint),
        ]
    )


def moved_hint(folder: Path, address: str) -> str:
    """A warning when this laptop was under another address last time, '' if not; remembers the present one."""
    kept = folder / KEPT_ADDRESS
    before = kept.read_text(encoding="ascii").strip() if kept.exists() else ""
    kept.write_text(address, encoding="ascii")
    if before in ("", address):
        return ""
    return _(
        "Last time this laptop was %(before)s. Codes printed then do not lead here, and phones that came in then look "
        "for it there: what they hold stays on them until they find it. If you can, give the laptop its old address "
        "back (in the router), else print new codes; phones can also bring what they hold as a file."
    ) % {"before": before}
