"""The published series as days of right trials, in the order in which they were jumped as far as the source shows it.

Four finals are played whole. Of the other copies that show every trial in its round, the first three rounds are taken
in the order of the file. No source states seed marks.
"""

from scoring.facts import Drawn, Jumped, WindRead
from scoring.log import Row
from scoring.rulesets import rule_set
from scoring.state import StartLine
from scoring.trials import parse_trial
from scoring.wind import parse_wind
from tests.bench.right_trials import Before, right_trials
from tests.published.competition import COMPETITIONS, Competition
from tests.published.test_cuts import PLAYED, Day

FIRST_ROUNDS = [name for name, c in COMPETITIONS.items() if c.replayable and name not in PLAYED]
THREE = rule_set("three-only")


def published_days() -> dict[str, list[Before]]:
    played = {}
    for name in PLAYED:
        day = Day(COMPETITIONS[name])
        day.play()
        played[name] = list(right_trials(day.lines, day.rows, day.rules))
    return played | {name: _first_rounds(COMPETITIONS[name]) for name in FIRST_ROUNDS}


def _first_rounds(competition: Competition) -> list[Before]:
    codes = [row["code"] for row in competition.rows]
    facts = [Drawn((tuple(codes),))]
    for number in (1, 2, 3):
        for row in competition.rows:
            if written := row[f"t{number}"]:
                trial = parse_trial(written)
                facts.append(Jumped(row["code"], number, trial.result, trial.mark))
                if wind := row[f"w{number}"]:
                    facts.append(WindRead(row["code"], number, parse_wind(wind).tenths))
    rows = [Row(f"r{rev}", rev, fact) for rev, fact in enumerate(facts, 1)]
    return list(right_trials([StartLine(code, code) for code in codes], rows, THREE, in_call_order=False))
