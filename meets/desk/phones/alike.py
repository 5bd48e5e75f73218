"""Phones that do the same work at one pit: one of them was to be put away, or somebody took the wrong card."""

from collections import defaultdict
from collections.abc import Iterable

from django.utils.text import get_text_list
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from meets.desk.phones.reads import PhoneLine
from meets.models import Role

ONE_IS_ENOUGH = (Role.RECORDER, Role.SECOND)


def alike_said(lines: Iterable[PhoneLine]) -> list[str]:
    """A sentence for each place and record that several phones write which have spoken just now.

    A code for recorder and gauge operator is scanned by both of them: of those nothing can be said.
    """
    found: dict[tuple[int | None, int | None, Role], list[PhoneLine]] = defaultdict(list)
    for line in lines:
        key = line.device.key
        if not line.silent and not line.locked_out and Role.GAUGE not in key.roles:
            for role in ONE_IS_ENOUGH:
                if role in key.roles:
                    found[key.session_id, key.event_id, role].append(line)
    return [_said(role, phones) for (_s, _e, role), phones in found.items() if len(phones) > 1]


def _said(role: Role, phones: list[PhoneLine]) -> str:
    says = ngettext(
        "%(where)s: %(phones)s are both there as %(role)s. One record is written by one phone: put the other away.",
        "%(where)s: %(phones)s are there as %(role)s. One record is written by one phone: put the others away.",
        len(phones) - 1,
    )
    named = [
        _("phone %(number)d (%(official)s)")
        % {"number": line.device.number, "official": line.device.official or _("no name")}
        for line in sorted(phones, key=lambda line: line.device.number)
    ]
    return says % {"where": phones[0].where, "phones": get_text_list(named, _("and")), "role": role.label}
