"""Phones and codes that spoil a record: two phones that write the same one, a second record that is not blind."""

from collections import defaultdict
from collections.abc import Iterable

from django.utils.text import get_text_list
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from meets.desk.phones.reads import CodeLine, PhoneLine
from meets.models import Role
from meets.pit.keys.roles import kept_apart

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


def not_blind_said(codes: Iterable[CodeLine]) -> list[str]:
    """A sentence for each code in use that shows the first record to a second recorder; none is made today."""
    says = _(
        "%(where)s: one code is for %(one)s and %(other)s. It shows the first record, which the second recorder must "
        "not see. Make two codes, let the phones send what they hold, then take this one back."
    )
    return [
        says % {"where": code.where, "one": pair[0].label, "other": pair[1].label}
        for code in codes
        if not code.revoked and (code.phones or not code.closed) and (pair := kept_apart(code.key.roles))
    ]


def _said(role: Role, phones: list[PhoneLine]) -> str:
    says = ngettext(
        "%(where)s: %(phones)s are both there as %(role)s. Agree which of them writes this record: one only.",
        "%(where)s: %(phones)s are there as %(role)s. Agree which of them writes this record: one only.",
        len(phones) - 1,
    )
    named = [
        _("phone %(number)d (%(official)s)")
        % {"number": line.device.number, "official": line.device.official or _("no name")}
        for line in sorted(phones, key=lambda line: line.device.number)
    ]
    return says % {"where": phones[0].where, "phones": get_text_list(named, _("and")), "role": role.label}
