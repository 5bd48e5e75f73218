"""Where a log ends, which names it: by that, what was worked out from a log and kept is known to hold or not."""

from django.db.models import OuterRef, Subquery

from meets.models import LogRow, ServerEpoch

LOG_END = ("last_row", "last_rev", "life")


def log_end(event: str = "pk") -> dict[str, Subquery]:
    """Annotations by the names of `LOG_END`: the id of the last row, its number, and the life of the database.

    `event`: the field of the outer query that holds the id of the event. The row's id alone does not name a log: once
    an older copy of the database is in place, a phone may send the same row again, behind fewer others or behind other
    ones. Nor does its number: after a transaction that failed, another row has it.
    """
    rows = LogRow.objects.filter(event=OuterRef(event)).order_by("-rev")
    lives = ServerEpoch.objects.order_by("-begun_at")
    asked = (rows.values("pk"), rows.values("rev"), lives.values("epoch"))
    return {name: Subquery(values[:1]) for name, values in zip(LOG_END, asked, strict=True)}
