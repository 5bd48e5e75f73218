from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from meets.running import actions
from meets.running.actions import Refusal
from scoring.log import Turn


class SomeRefused(Exception):
    """Readings that cannot be, each turn with its sentence; none of the others is stored either."""

    def __init__(self, sentences: dict[Turn, str]) -> None:
        super().__init__("; ".join(sentences.values()))
        self.sentences = sentences


@transaction.atomic
def record_winds(*, event_id: int, winds: Sequence[tuple[Turn, str]], by: str, recorder: str, now: datetime) -> int:
    """Store owed readings, all or none; how many. Raises SomeRefused."""
    refused: dict[Turn, str] = {}
    for turn, wind in winds:
        try:
            actions.record_wind(event_id=event_id, turn=turn, wind=wind, by=by, recorder=recorder, now=now)
        except Refusal as refusal:
            refused[turn] = str(refusal)
    if refused:
        raise SomeRefused(refused)
    return len(winds)
