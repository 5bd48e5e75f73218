"""From the check page to the store: what was shown, less what was left out, and nothing else."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from meets.entries.actions import Imported, import_entries
from meets.entries.outcome import CheckedFile, Verdict
from meets.entries.reads import check_upload, chosen_by
from meets.entries.refused import Refused
from meets.models import Meet


@dataclass(frozen=True, slots=True)
class Accepted:
    checked: CheckedFile
    imported: Imported


@transaction.atomic
def accept_upload(
    *,
    meet: Meet,
    name: str,
    data: bytes,
    seen: str,
    verdict: str = "",
    school: str = "",
    left_out: Collection[int] = (),
    consented: Collection[int] = (),
    confirm_late: bool = False,
    by: str,
    now: datetime,
) -> Accepted:
    """Check the file again and store the accepted lines that the filter showed.

    `left_out` lines stay out, lines asked about go in only when `consented`. `seen` is the digest of the check that
    was shown. Raises Refused, with nothing stored, when the outcome of any line has changed since.
    """
    Meet.objects.select_for_update().get(pk=meet.pk)
    checked = check_upload(meet, name, data, now=now)
    if checked.digest() != seen:
        raise Refused(_("Something has changed since this page was made. Look at the lines again, then store them."))
    lines = chosen_by(checked, verdict, school)
    agreed = {line.number for line in lines if line.verdict is Verdict.ASKED} & set(consented)
    fine = {line.number for line in lines if line.verdict in (Verdict.ACCEPTED, Verdict.ADVICE)} - set(left_out)
    if not agreed | fine:
        raise Refused(_("No line is chosen. Tick lines that are yours to decide, or leave fewer out."))
    imported = import_entries(
        meet=meet,
        checked=checked,
        chosen_lines=agreed | fine,
        accept_warnings=bool(agreed),
        confirm_late=confirm_late,
        by=by,
        now=now,
    )
    return Accepted(checked, imported)
