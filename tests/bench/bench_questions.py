"""How many right trials would be asked about before they are saved, and how many slips: a count, not a time.

At most about one right trial in twenty may raise a question (judgement of officials): who is asked all day answers
without looking. Counted on published series and on demonstration days. Only reading back catches the other slips.
"""

import os
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import UTC, date, datetime
from pathlib import Path
from random import Random

from tests.bench.right_trials import SLIPS, Before, caught, kinds_asked

SEEDS = () if "--smoke" in sys.argv else (1, 2, 3, 4, 5)
ON, NOW = date(2027, 6, 12), datetime(2027, 6, 12, 8, 0, tzinfo=UTC)


def played(folder: str) -> Iterator[tuple[str, list[list[Before]]]]:
    """The demonstration day of each seed, in a database of its own."""
    os.environ |= {"DATABASE_URL": f"sqlite:///{folder}/questions.sqlite3", "DJANGO_SETTINGS_MODULE": "meets.settings"}
    import django

    django.setup()
    from django.core.management import call_command

    from meets.demo.actions import build
    from tests.bench.demo_days import demo_days

    call_command("migrate", verbosity=0)
    for seed in SEEDS:
        built = build(seed=seed, on=ON, out_dir=Path(folder), now=NOW, start=lambda total: lambda step: None)
        yield f"demonstration day {seed}", demo_days(built.meet)


def say_right(name: str, days: Sequence[Sequence[Before]]) -> None:
    trials, asked, kinds = kinds_asked(before for day in days for before in day)
    often = f"1 in {trials / asked:.0f}" if asked else "none"
    by_kind = ", ".join(f"{kind} {count}" for kind, count in kinds.most_common())
    sys.stdout.write(f"  {name}: {asked} of {trials} right trials asked about, {often} ({by_kind})\n")


def say_slips(name: str, days: Sequence[Sequence[Before]]) -> None:
    count = sum((caught(day, Random(number)) for number, day in enumerate(days)), Counter())
    sys.stdout.write(f"  slips put into {name}, and asked about:\n")
    for slip in SLIPS:
        if made := count[slip, "made"]:
            sys.stdout.write(f"    {slip}: {count[slip, 'asked']} of {made} ({count[slip, 'asked'] / made:.0%})\n")


def main() -> None:
    from tests.published.series import published_days

    published = list(published_days().values())
    say_right("published series", published)
    say_slips("them", published)
    demo: list[list[Before]] = []
    with tempfile.TemporaryDirectory() as folder:
        for name, days in played(folder) if SEEDS else ():
            say_right(name, days)
            demo += days
    if demo:
        say_slips("the demonstration days", demo)


if __name__ == "__main__":
    main()
