"""How the benches take time and say what they found."""

import statistics
import sys
import time
from collections.abc import Callable

SMOKE = "--smoke" in sys.argv
BUDGET_S = 0.05 if SMOKE else 0.8


def median_s(work: Callable[[], object], budget_s: float | None = None, at_least: int = 3) -> float:
    """Median time of one call, in seconds: as many calls as fit into the budget."""
    work()
    taken: list[float] = []
    end = time.perf_counter() + (BUDGET_S if budget_s is None else budget_s)
    while len(taken) < at_least or (time.perf_counter() < end and len(taken) < 5000):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def say(what: str, own_s: float, floor_s: float | None = None, *, limit: float | None = None) -> None:
    """One line: our time, the floor of the same run, the ratio and what it should stay under."""
    line = f"{what:<58}{own_s * 1e3:>11.3f} ms"
    if floor_s is not None:
        ratio = own_s / floor_s
        line += f"   floor {floor_s * 1e3:>9.3f} ms   ratio {ratio:>7.2f}"
        if limit is not None:
            line += f"   at most {limit:g}: {'yes' if ratio <= limit else 'OVER'}"
    sys.stdout.write(line + "\n")
