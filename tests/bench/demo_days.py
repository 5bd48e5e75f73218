"""The trials of a demonstration meet, event by event, from its log."""

from meets.models import Meet
from meets.running.states import entries_of, rows_of, rules_of, sand_cm_of, start_lines
from tests.bench.right_trials import Before, right_trials


def demo_days(meet: Meet) -> list[list[Before]]:
    days = []
    for event in meet.events.select_related("meet").order_by("pk"):
        entries = entries_of(event)
        seeds = {str(entry.pk): entry.seed_mark for entry in entries}
        known = {"seeds": seeds, "sand_cm": sand_cm_of(event)}
        days.append(list(right_trials(start_lines(entries), rows_of(event), rules_of(event), **known)))
    return days
