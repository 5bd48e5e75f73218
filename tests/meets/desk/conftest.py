"""A meet at the desk: one event with its entries, at a pit, and a way to play it through the officials' functions."""

from datetime import timedelta

import pytest

from meets.running import actions
from meets.running.actions import PIT
from meets.running.reads import state_of
from tests.factories import START, EntryFactory, EventFactory, MeetFactory, PitSessionFactory, SessionPartFactory
from tests.played import once


class Played:
    """An event and what officials do in it."""

    def __init__(self, event):
        self.event = event
        self.now = START

    @property
    def who(self):
        self.now += timedelta(seconds=40)
        return {"event_id": self.event.pk, "by": "R. Corder", "recorder": PIT, "now": self.now}

    @property
    def state(self):
        return state_of(self.event)

    @property
    def keys(self):
        return {entry.bib: str(entry.pk) for entry in self.event.entries.all()}

    def draw(self, seed=7):
        actions.draw(**self.who, seed=seed)
        actions.check_in(**self.who, here=list(self.keys.values()))
        return self

    def jump(self, *series):
        """Trials in call order: a text for each, `5.43+1.4` with its wind."""
        return self._once(lambda: self._jump(series), series)

    def _jump(self, series):
        for text in series:
            trial, sign, wind = text.partition("+")
            up = self.state.callable[0].turn
            actions.record_trial(**self.who, turn=up, trial=trial, wind=sign + wind, answered=True)

    def jump_by_bib(self, marks, rounds):
        """Whole rounds, each athlete with marks of their own: `{"1": "5.10 x 5.00"}`."""
        return self._once(lambda: self._jump_by_bib(marks, rounds), *sorted(marks.items()), rounds)

    def _jump_by_bib(self, marks, rounds):
        bibs = {key: bib for bib, key in self.keys.items()}
        for _turn in range(rounds * len(marks)):
            up = self.state.callable[0].turn
            trial = marks[bibs[up.entry]].split()[up.round - 1]
            actions.record_trial(**self.who, turn=up, trial=trial, wind="+0.5", answered=True)
            if self.state.trials_proposal:
                actions.confirm_trials(**self.who)

    def _once(self, play, *about):
        once(self.event, play, self.now, *about)
        self.now = self.event.log.order_by("rev").last().at
        return self


@pytest.fixture
def meet(db):
    return MeetFactory(slug="spring-jumps", name="Spring jumps")


@pytest.fixture
def event(meet):
    return EventFactory(
        meet=meet, name="U15 girls long jump", age_group="U15", category="girls", discipline="LJ", boards_cm=[200]
    )


@pytest.fixture
def session(event):
    session = PitSessionFactory(pit__meet=event.meet, pit__name="Pit 1", name="Morning")
    SessionPartFactory(session=session, event=event)
    return session


@pytest.fixture
def three(event, session):
    """Three athletes, bibs 1 to 3, not drawn yet."""
    for bib in ("1", "2", "3"):
        EntryFactory(event=event, bib=bib, board_cm=200)
    return Played(event)


@pytest.fixture
def ten(event, session):
    """Ten athletes, bibs 1 to 10, not drawn yet."""
    for bib in range(1, 11):
        EntryFactory(event=event, bib=str(bib), board_cm=200)
    return Played(event)


def desk(event, page="", **query):
    """The address of a page of an event."""
    from urllib.parse import urlencode

    address = f"/desk/{event.meet.slug}/{event.pk}/{page}"
    return f"{address}?{urlencode(query)}" if query else address


def last_row(event):
    return event.log.order_by("rev").last()
