"""Ranking with what decided each place, from the marks of a field to places, against a bare sort with tuple keys."""

from scoring.places import Contender, rank
from tests.bench.clock import SMOKE, median_s, say
from tests.bench.floor_ranking import bare_sort, field, with_pandas

SIZES = (24, 1_000) if SMOKE else (8, 24, 100, 1_000, 100_000)


def contenders(rows):
    return [Contender(str(i), tuple(sorted(filter(None, trials), reverse=True))) for i, trials in enumerate(rows)]


def main() -> None:
    for athletes in SIZES:
        rows = field(athletes)
        read = contenders(rows)
        by_entry = {placed.entry: placed.place for placed in rank(read)}
        places = [by_entry[str(i)] if any(trials) else None for i, trials in enumerate(rows)]
        bare = bare_sort(rows)
        assert bare == with_pandas(rows)
        assert places == [place if any(trials) else None for place, trials in zip(bare, rows, strict=True)]
        floor = median_s(lambda rows=rows: bare_sort(rows))
        say(f"{athletes:,} x 6: rank", median_s(lambda read=read: rank(read)), floor, limit=6)
        say(
            f"{athletes:,} x 6: from the trials to the ranking",
            median_s(lambda rows=rows: rank(contenders(rows))),
            floor,
            limit=6,
        )
        say(f"{athletes:,} x 6: pandas, places only", median_s(lambda rows=rows: with_pandas(rows)), floor)


if __name__ == "__main__":
    main()
