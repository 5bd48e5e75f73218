from datetime import datetime

from meets.models import Meet, Penalty


def take_points(*, meet: Meet, penalty: Penalty, by: str, now: datetime) -> Penalty:
    """Store a penalty with who decided it and when; the points of the places stay as they are."""
    penalty.meet, penalty.by, penalty.at = meet, by[:80], now
    penalty.save()
    return penalty
