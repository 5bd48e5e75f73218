"""How many right trials would be asked about before they are saved, and how many slips: a count, not a time.

Days by lot: marks around 96.5 % of the seed with a spread of 2.8 %, a trial in five failed, a light wind that drifts.
A slip is a metre more or less, or two neighbouring digits swapped; only reading back catches the others.
"""

import random
import sys
from collections import Counter

from scoring.event import replay
from scoring.facts import Drawn, Jumped
from scoring.log import Row
from scoring.rulesets import rule_set
from scoring.slips import questions
from scoring.state import StartLine
from scoring.trials import Result, Trial
from scoring.wind import Wind

SEEDS = (1,) if "--smoke" in sys.argv else (1, 2, 3)
ATHLETES = 16
USUAL_CM = {"long jump": 460, "triple jump": 1000}
RULES = rule_set("three-only")


def day(usual_cm: int, seed: int) -> tuple[int, int, int, int]:
    """Right trials, those asked about, slips, those asked about."""
    lot = random.Random(seed)
    keys = [str(n) for n in range(ATHLETES)]
    seeds = {key: round(lot.gauss(usual_cm, usual_cm * 0.06)) for key in keys}
    rows = [Row("draw", 1, Drawn((tuple(keys),)))]
    lines = [StartLine(key, key) for key in keys]
    count, winds, last, tenths = Counter(), [], None, 5
    for number in range(ATHLETES * RULES.rounds):
        state = replay(lines, rows, RULES)
        turn = state.callable[0].turn
        tenths = round(tenths + (6 - tenths) / 4 + lot.gauss(0, 6))
        seed_mark = seeds[turn.entry]
        failed = lot.random() < 0.2
        mark = None if failed else round(lot.gauss(seed_mark * 0.965, seed_mark * 0.028))
        trial = Trial(Result.FAIL if failed else Result.MARK, mark, None if failed else Wind(tenths))
        known = {"seed_mark": seed_mark, "last_winds": winds[-5:], "last_mark": last}
        count["right"] += 1
        count["asked"] += bool(questions(state, turn, trial, **known))
        for slip in _slips(mark):
            count["slips"] += 1
            count["caught"] += bool(questions(state, turn, Trial(Result.MARK, slip, trial.wind), **known))
        winds, last = winds if failed else [*winds, tenths], mark
        rows.append(Row(str(number), number + 2, Jumped(*turn[:2], trial.result, mark)))
    return count["right"], count["asked"], count["slips"], count["caught"]


def _slips(mark: int | None) -> list[int]:
    if mark is None:
        return []
    digits = str(mark)
    swaps = [digits[:n] + digits[n + 1] + digits[n] + digits[n + 2 :] for n in range(len(digits) - 1)]
    return [mark + 100, mark - 100, *(int(swap) for swap in swaps if swap != digits and swap[0] != "0")]


def main() -> None:
    for name, usual_cm in USUAL_CM.items():
        right, asked, slips, caught = (sum(counts) for counts in zip(*(day(usual_cm, s) for s in SEEDS), strict=True))
        sys.stdout.write(
            f"  {name}: {asked} of {right} right trials asked about (at most about 1 in 20), "
            f"{caught} of {slips} slips of a metre or of swapped digits\n"
        )


if __name__ == "__main__":
    main()
