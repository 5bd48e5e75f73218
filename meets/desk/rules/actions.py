from collections.abc import Mapping

from meets.models import Event, Meet


def set_rules(*, owner: Meet | Event, changes: Mapping[str, str]) -> None:
    """Keep the changes of a meet or an event; they have been checked by `problems_of`."""
    owner.rule_changes = dict(changes)
    owner.save(update_fields=["rule_changes"])
