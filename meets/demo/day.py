"""Plays the day of a meet from a random seed, through the functions that officials use."""

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from random import Random

from meets.demo.incidents import Incidents
from meets.models import Event, Meet, PitSession
from meets.running import actions
from meets.running.actions import DESK, PIT
from meets.running.reads import QueuedTurn, SessionView, entries_of, session_view, state_of
from scoring.marks import show_mark
from scoring.state import EventState, Stage

SECONDS_A_TRIAL = 55
USUAL_WIND_TENTHS, GUST_TENTHS = 8, 6
OFFICIALS = ("Ms Tregenza", "Mr Halden", "Ms Okonjo")


class Day:
    """A meet that is being played: its clock, its random numbers, and what goes wrong on purpose."""

    def __init__(self, meet: Meet, rng: Random, start: datetime) -> None:
        self.meet, self.rng, self.now = meet, rng, start
        self.incidents = Incidents(self)
        self.wind_tenths = 6
        self.recorded = 0

    def by(self, recorder: str = PIT) -> dict[str, object]:
        """Who records: the same three officials all day."""
        person = OFFICIALS[0] if recorder == PIT else OFFICIALS[1]
        return {"by": person, "recorder": recorder, "now": self.now}

    def tick(self, seconds: int = SECONDS_A_TRIAL) -> None:
        self.now += timedelta(seconds=seconds)

    def draw_all(self) -> None:
        for event in self.meet.events.all():
            actions.draw(event_id=event.pk, seed=self.rng.randrange(1_000_000), **self.by(DESK))

    def check_in(self, event: Event) -> None:
        """Everybody is ticked as here, but for those whom the incidents keep away."""
        keys = [str(entry.pk) for entry in entries_of(event)]
        away = self.incidents.absent(event, keys)
        here = [key for key in keys if key not in away]
        actions.check_in(event_id=event.pk, here=here, not_here=away, **self.by())

    def play(self, session: PitSession, on_trial: Callable[[], None] = lambda: None) -> None:
        """A session from check-in to the signed sheets."""
        events = list(Event.objects.filter(session_parts__session=session).distinct().select_related("meet"))
        for event in events:
            self.check_in(event)
            board = (event.boards_cm or [100])[0]
            actions.sign_readiness(event_id=event.pk, board_cm=board, measured_cm=board, **self.by())
        while True:
            view = session_view(session)
            called = [turn for turn in view.queue if not turn.away]
            if called:
                self.trial(view, called[0])
                on_trial()
            elif not any(self.decide(event, view.states[event.pk]) for event in events):
                break
        for event in events:
            actions.close(event_id=event.pk, **self.by(DESK))

    def trial(self, view: SessionView, up: QueuedTurn) -> None:
        """One trial of whoever is up, and what happens around it."""
        self.tick()
        self.recorded += 1
        state = view.states[up.event_id]
        event = view.events[up.event_id]
        if self.incidents.instead_of(event, state, up):
            return
        text = self.incidents.shared_mark(event, up) or self.jump(up)
        wind = self.gauge(state, text)
        actions.record_trial(event_id=event.pk, turn=up.turn, trial=text, wind=wind, answered=True, **self.by())
        self.incidents.after(event, up, text)

    def jump(self, up: QueuedTurn) -> str:
        """A trial like this athlete's: now and then failed or passed, mostly a little short of the seed mark."""
        chance = self.rng.random()
        if chance < 0.21:
            return "x"
        if chance < 0.23 and up.turn.round > 1:
            return "-"
        usual = up.person.seed_mark or 420
        mark = round(self.rng.gauss(usual * 0.965, usual * 0.028))
        return show_mark(mark)

    def gauge(self, state: EventState, text: str) -> str:
        """The gauge's reading; the wind drifts through the day. Nothing once the gauge is dead or after a pass."""
        if state.no_gauge or text == "-" or (text == "x" and self.rng.random() < 0.5):
            return ""
        gust = self.rng.gauss(0, GUST_TENTHS)
        self.wind_tenths = round(self.wind_tenths + (USUAL_WIND_TENTHS - self.wind_tenths) / 4 + gust)
        return f"{self.wind_tenths / 10:+.1f}"

    def decide(self, event: Event, state: EventState) -> bool:
        """Whatever the referee has to decide now; whether there was anything."""
        self.tick(20)
        referee = {"by": OFFICIALS[2], "recorder": PIT, "now": self.now}
        if state.stage in (Stage.FINISHED, Stage.CLOSED):
            return False
        if state.trials_proposal is not None:
            actions.confirm_trials(event_id=event.pk, **referee)
        elif state.cut_proposal is not None:
            actions.take_cut(event_id=event.pk, **referee)
            self.tick(180)
        elif state.order_proposal is not None:
            actions.call_order(event_id=event.pk, **referee)
        else:
            return self.incidents.bring_back(event, state)
        return True


def trials_expected(meet: Meet) -> int:
    """About how many trials the day will have: three each, and three more for eight in each event."""
    return sum(len(entries_of(event)) * 3 + 24 for event in meet.events.all())


def sessions_of(meet: Meet) -> Iterator[PitSession]:
    yield from PitSession.objects.filter(pit__meet=meet).order_by("starts_at", "pk")


def finished(meet: Meet) -> int:
    return sum(state_of(event).stage is Stage.CLOSED for event in meet.events.select_related("meet"))
