"""Floor of ranking: places of a field by best, next best, ...; equal on all share a place (1, 1, 3); nothing else said.

Marks are whole centimetres, 0 for a failure or a pass. The two ways check each other.
"""

import random

TRIALS = 6
Rows = list[list[int]]


def field(athletes: int, seed: int = 1) -> Rows:
    """A field as a school meet has it: a quarter of the trials fail, the rest lie between 4.30 and 5.60 m."""
    lot = random.Random(seed)
    return [[0 if lot.random() < 0.25 else lot.randint(430, 560) for _ in range(TRIALS)] for _ in range(athletes)]


def bare_sort(rows: Rows) -> list[int]:
    """One sort with tuple keys."""
    keys = [tuple(sorted(trials, reverse=True)) for trials in rows]
    places, last, place = [0] * len(rows), None, 0
    for position, i in enumerate(sorted(range(len(rows)), key=keys.__getitem__, reverse=True), 1):
        if keys[i] != last:
            last, place = keys[i], position
        places[i] = place
    return places


def with_pandas(rows: Rows) -> list[int]:
    """The same by a data frame, for comparison."""
    import numpy
    import pandas

    columns = [f"m{i}" for i in range(TRIALS)]
    keys = pandas.DataFrame(-numpy.sort(-numpy.array(rows), axis=1), columns=columns)
    keys = keys.sort_values(columns, ascending=False)
    keys["position"] = numpy.arange(1, len(keys) + 1)
    return keys.groupby(columns, sort=False)["position"].transform("min").sort_index().tolist()
