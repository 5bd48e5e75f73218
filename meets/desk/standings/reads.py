from meets.models import Meet, Penalty


def penalties_of(meet: Meet) -> tuple[list[Penalty], list[Penalty]]:
    """Those that stand, and those that were taken back, in the order in which they were given."""
    found = list(Penalty.kept.filter(meet=meet).select_related("school"))
    return [p for p in found if p.taken_back_at is None], [p for p in found if p.taken_back_at is not None]
