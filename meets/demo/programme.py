"""The programme of the demonstration meet: its events, pits and pit sessions."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db import transaction

from meets.demo.people import TYPICAL_CM, event_name
from meets.models import Event, Meet, Pit, PitSession, SessionPart

LONG_JUMP_PIT = ("Pit 1, by the pavilion", [100, 200], "gauge 1")
TRIPLE_JUMP_PIT = ("Pit 2, by the hedge", [700, 900, 1100], "gauge 2")
SHARED = (("LJ", "girls", "U16"), ("LJ", "girls", "U18"))
"""These two age groups jump as one list, flight by flight."""

PRACTICE = (("LJ", "boys", "U16"), ("TJ", "girls", "U18"))
LONG_JUMP_PRACTICE, TRIPLE_JUMP_PRACTICE = (event_name(*key) for key in PRACTICE)

LONG_JUMP_DAY = (
    (("LJ", "girls", "U14"),),
    (("LJ", "boys", "U14"),),
    SHARED,
    (("LJ", "boys", "U16"),),
    (("LJ", "boys", "U18"),),
)
TRIPLE_JUMP_DAY = (
    (("TJ", "girls", "U16"),),
    (("TJ", "boys", "U16"),),
    (("TJ", "girls", "U18"),),
    (("TJ", "boys", "U18"),),
)


@transaction.atomic
def make_programme(*, slug: str, name: str, on: date) -> Meet:
    """The meet with ten events, two pits and nine pit sessions, all invented."""
    meet = _meet(slug, name, on)
    events = {key: _event(meet, key, position) for position, key in enumerate(TYPICAL_CM, 1)}
    start = _ten_o_clock(meet)
    for (pit_name, boards, gauge), plan in ((LONG_JUMP_PIT, LONG_JUMP_DAY), (TRIPLE_JUMP_PIT, TRIPLE_JUMP_DAY)):
        pit = Pit.objects.create(meet=meet, name=pit_name, sand_cm=800, boards_cm=boards, gauge=gauge)
        for number, keys in enumerate(plan):
            at = start + timedelta(minutes=75 * number)
            _session(pit, [events[key] for key in keys], at)
    return meet


@transaction.atomic
def make_practice(*, slug: str, name: str, on: date) -> Meet:
    """A small meet with one event of each discipline and one pit."""
    meet = _meet(slug, name, on)
    pit = Pit.objects.create(meet=meet, name=LONG_JUMP_PIT[0], sand_cm=800, boards_cm=[100, 700, 900])
    for position, key in enumerate(PRACTICE, 1):
        event = _event(meet, key, position)
        _session(pit, [event], _ten_o_clock(meet) + timedelta(minutes=75 * position))
    return meet


def _meet(slug: str, name: str, on: date) -> Meet:
    return Meet.objects.create(
        slug=slug,
        name=name,
        date=on,
        venue="Harrowdown playing fields",
        age_scheme="uk-2026",
        rule_changes={"flight_size": "10"},
    )


def _event(meet: Meet, key: tuple[str, str, str], position: int) -> Event:
    discipline, category, group = key
    return Event.objects.create(
        meet=meet,
        name=event_name(discipline, category, group),
        discipline=discipline,
        category=category,
        age_group=group,
        boards_cm=[100, 200] if discipline == "LJ" else [700, 900, 1100],
        position=position,
        rotation=position,
    )


def _ten_o_clock(meet: Meet) -> datetime:
    return datetime.combine(meet.date, datetime.min.time(), ZoneInfo(meet.time_zone)).replace(hour=10)


def _session(pit: Pit, events: list[Event], at: datetime) -> None:
    session = PitSession.objects.create(pit=pit, name=" + ".join(event.name for event in events), starts_at=at)
    flights = (1, 2) if len(events) > 1 else (0,)
    for position, event in enumerate(events):
        event.starts_at, event.report_at = at, at - timedelta(minutes=20)
        event.save(update_fields=["starts_at", "report_at"])
        for flight in flights:
            SessionPart.objects.create(
                session=session, event=event, flight=flight, block=max(flight, 1), position=position
            )
