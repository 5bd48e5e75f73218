"""A long jump of fourteen, jumped through the functions that officials use, with everything a result may hold."""

from datetime import UTC, date, datetime
from random import Random

import pytest

from meets.running import actions
from meets.running.reads import state_of
from meets.running.record import NewRow, record
from scoring.facts import Drawn
from scoring.log import Turn
from tests.factories import (
    EntryFactory,
    EventFactory,
    MeetFactory,
    PitFactory,
    PitSessionFactory,
    SchoolFactory,
    SessionPartFactory,
)
from tests.played import once

NOW = datetime(2027, 6, 12, 13, 22, tzinfo=UTC)
DESK = {"by": "Organiser", "recorder": "desk", "now": NOW}
PIT = {"by": "R. Corder", "recorder": "pit", "now": NOW}
NAMES = [
    ("Orla", "O'Farrowin"),
    ("Zofia", "Łukasik"),
    ("Ελένη", "Παπαδοπούλου"),
    ("Дарья", "Соколова"),
    ("Ángela", "Núñez-Brøndum"),
    ("Siân", "Penhallow"),
    ("Anna-Karolína", "Vandermeulen-Featherstonehaugh"),
    ("Nell", "Brindlow"),
]


@pytest.fixture
def meet(db):
    return MeetFactory(name="Pyddle Vale Schools’ Jumps", slug="pyddle")


@pytest.fixture
def event(meet):
    """Drawn, nobody has jumped."""
    event = EventFactory(
        meet=meet,
        name="U15 Girls Long Jump",
        discipline="LJ",
        category="girls",
        age_group="U15",
        boards_cm=[100],
        report_at=datetime(2027, 6, 12, 12, 20, tzinfo=UTC),
        starts_at=datetime(2027, 6, 12, 12, 50, tzinfo=UTC),
        position=1,
    )
    pit = PitFactory(meet=meet, name="North pit", boards_cm=[100])
    SessionPartFactory(event=event, session=PitSessionFactory(pit=pit))
    schools = [SchoolFactory() for _ in range(5)]
    for number in range(14):
        first, last = NAMES[number % len(NAMES)]
        EntryFactory(
            event=event,
            bib=str(11 + number),
            guest=number == 5,
            string="AB"[number // 5] if number < 10 else "",
            athlete__school=schools[number % 5],
            athlete__first_name=first if number < len(NAMES) else f"{first} {number}",
            athlete__last_name=last,
            athlete__say_it="zoh-FEE-ah woo-KAH-sheek" if number == 1 else "",
            seed_mark=480 - 3 * number,
            seed_wind_tenths=7,
            seed_date=date(2027, 5, 8),
        )
    # Drawn in the order of bibs: a lot goes by keys that the database gives, and those differ from run to run.
    order = tuple(str(entry.pk) for entry in event.entries.order_by("pk"))
    record(event_id=event.pk, facts=[NewRow(Drawn((order,), "lot", 7))], **DESK)
    return event


def jump(event, until_round, rng):
    """Everybody who is called, until the round is over or a decision is due."""
    while True:
        state = state_of(event)
        if not state.callable or state.callable[0].turn.round > until_round:
            return state
        turn = state.callable[0].turn
        bib = int(state.entry(turn.entry).line.bib)
        trial = rng.choice(["x", "-", *(f"{mark / 100:.2f}" for mark in range(440, 520))])
        wind = f"{rng.randint(-9, 28) / 10:+.1f}".replace("+0.0", "0.0").replace("-0.0", "0.0")
        if bib == 20:
            trial = "x"
        if bib == 21:
            trial, wind = "4.61", "NWI"
        if bib in (22, 23):
            trial = "4.44"
        if bib == 12 and turn.round == 2:
            trial = "-"
        actions.record_trial(
            event_id=event.pk, turn=turn, trial=trial, wind="" if trial == "-" else wind, answered=True, **PIT
        )


@pytest.fixture
def jumped(event):
    """Finished and closed: one did not start, one without a valid mark, one disqualified, two equal throughout."""
    once(event, lambda: _play(event), "finished and closed")
    return event


def _play(event):
    rng = Random(5)
    entries = {entry.bib: str(entry.pk) for entry in event.entries.all()}
    actions.did_not_start(event_id=event.pk, entry=entries["24"], **PIT)
    jump(event, 3, rng)
    actions.confirm_trials(event_id=event.pk, **DESK)
    actions.take_cut(event_id=event.pk, **DESK)
    jump(event, 6, rng)
    actions.disqualify(event_id=event.pk, entry=entries["19"], reason="left the field without leave", **DESK)
    actions.close(event_id=event.pk, **DESK)


def turn(entry, round):
    return Turn(str(entry.pk), round)
