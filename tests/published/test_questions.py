"""Questions before a trial is saved are few when the trial is right: about one in twenty (judgement of officials).

Who is asked all day answers without looking. Counted on published finals, trial by trial; every one of these trials is
right, also those of athletes who ran through and were measured. The sources have no seed marks, which would answer the
questions about a usual mark after a poor one: 14 of 255 trials are asked about.
"""

from collections import Counter

from scoring.facts import Jumped
from scoring.slips import questions
from scoring.state import EventState
from scoring.wind import parse_wind
from tests.published.test_cuts import COMPETITIONS, PLAYED, Day

MOST = 1 / 18


class AskedDay(Day):
    """Keeps what would have been asked before each trial."""

    def __init__(self, competition) -> None:
        self.asked: list[tuple[str, ...]] = []
        self.winds: list[int] = []
        super().__init__(competition)

    def record(self, fact) -> None:
        if isinstance(fact, Jumped):
            self.ask(self.state, fact)
        super().record(fact)

    def ask(self, state: EventState, fact: Jumped) -> None:
        jumped = [row.fact for row in self.rows if isinstance(row.fact, Jumped)]
        found = questions(
            state,
            (turn := state.callable[0].turn),
            self.trial(turn.entry, turn.round),
            last_winds=self.winds[-5:],
            last_mark=jumped[-1].mark if jumped else None,
        )
        self.asked.append(tuple(question.kind for question in found))
        wind = self.trials[fact.entry][f"w{fact.round}"]
        if wind and (tenths := parse_wind(wind).tenths) is not None:
            self.winds.append(tenths)


def test_right_trials_raise_few_questions():
    asked: list[tuple[str, ...]] = []
    for name in PLAYED:
        day = AskedDay(COMPETITIONS[name])
        day.play()
        asked += day.asked
    kinds = Counter(kind for kinds in asked for kind in kinds)
    assert len(asked) > 200
    assert "out of order" not in kinds
    assert sum(map(bool, asked)) <= MOST * len(asked), kinds
