"""Places and points again from the series of a published document, by the rules written in it and nothing else."""

from collections import defaultdict
from collections.abc import Mapping
from fractions import Fraction

from scoring.combined import CombinedTable, long_jump_points
from scoring.marks import Unit, mark_in_cm
from scoring.places import Contender, Placed, rank_by_class
from scoring.rulesets import RuleSet, from_written, rule_set
from scoring.teams import EntryPoints, OverLimit, ScoringLine, event_points, match_points
from scoring.wind import Wind, WindStatus, show_wind, wind_status

Document = Mapping[str, object]


def rules_in(document: Document) -> RuleSet:
    """The rule set of the document with every field as it is written there. Raises NotARuleSet."""
    written = document["rules"]["fields"]
    return rule_set("international").with_changes({name: from_written(name, text) for name, text in written.items()})


def marks_of(line: Document) -> tuple[int, ...]:
    """The marks that count for a line's place, best first; without what is held back and what does not count."""
    counting = (trial for trial in line["series"] if trial["counts"] and not trial["held"])
    return tuple(sorted((trial["mark"] for trial in counting if trial["mark"] is not None), reverse=True))


def places_in(document: Document) -> list[Placed]:
    """Everybody in the order of the result."""
    return rank_by_class(
        Contender(
            line["entry"],
            marks_of(line),
            line["status"] if line["status"] != "NM" else "",
            line["guest"],
            line["klass"],
        )
        for line in document["lines"]
    )


def team_points_in(document: Document) -> tuple[EntryPoints, ...]:
    """Team points by the places, each impairment class scored for itself."""
    rules, lines = rules_in(document), {line["entry"]: line for line in document["lines"]}
    classes: dict[str, list[ScoringLine]] = defaultdict(list)
    for placed in places_in(document):
        line = lines[placed.entry]
        classes[line["klass"]].append(
            ScoringLine(
                placed.entry,
                line["school"]["code"],
                line["string"],
                placed.place,
                line["guest"],
                placed.best is not None,
                line["status"] not in ("DNS", "DQ"),
            )
        )
    return tuple(
        scored
        for lines_of_class in classes.values()
        for scored in event_points(
            lines_of_class,
            points=match_points(document["meet"]["schools_in_match"]) if rules.points_by_schools else rules.points,
            b_points=rules.b_points if rules.b_table else (),
            scorers_per_school=rules.scorers_per_school,
            over_limit=OverLimit(rules.over_limit),
            better_is_a=rules.better_is_a,
            lone_b_moves_up=rules.lone_b_moves_up,
        )
    )


def points_in(document: Document) -> dict[str, str]:
    """What stands as points in each line: team points, or those of combined events for a long jump."""
    rules = rules_in(document)
    if rules.combined_points != "none" and document["event"]["discipline"] == "LJ":
        unit, table = Unit(document["meet"]["unit"]), CombinedTable(rules.combined_points)
        return {
            placed.entry: str(long_jump_points(mark_in_cm(placed.best, unit), table))
            for placed in places_in(document)
            if placed.best
        }
    return {scored.entry: plain_points(scored.points) for scored in team_points_in(document) if scored.points}


def shown_wind(wind: Document) -> str:
    """A wind of a document as it is shown."""
    return show_wind(Wind(wind.get("tenths")))


def wind_is_legal(wind: Document, rules: RuleSet) -> bool:
    """Whether a reading is within the limit; what is no reading has nothing to be asked."""
    return wind_status(Wind(wind.get("tenths")), rules.wind_limit_tenths) is not WindStatus.WINDY


def plain_points(points: Fraction) -> str:
    """Exact points in plain signs: 7, 7 1/2, 1/3, -3.

    >>> [plain_points(Fraction(*parts)) for parts in ((7, 1), (15, 2), (1, 3), (-7, 2))]
    ['7', '7 1/2', '1/3', '-3 1/2']
    """
    whole, rest = divmod(abs(points), 1)
    parts = [str(whole)] * bool(whole or not rest) + [f"{rest.numerator}/{rest.denominator}"] * bool(rest)
    return ("-" if points < 0 else "") + " ".join(parts)


def fraction_of(points: str) -> Fraction:
    """What `plain_points` wrote. Raises ValueError.

    >>> fraction_of("-3 1/2"), fraction_of("")
    (Fraction(-7, 2), Fraction(0, 1))
    """
    sign = -1 if points.startswith("-") else 1
    return sign * sum((Fraction(part) for part in points.removeprefix("-").split()), Fraction(0))
