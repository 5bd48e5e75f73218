"""The fields of a rule set: every number and choice with its unit, default, source and one sentence.

A meet names a built-in set (`rulesets`) and may change single fields; `problems` answers with all reasons at once.
What nothing is reckoned from says so in its sentence and is not `reckoned`: it is shown, and the officials see to it.
Sources: WA = World Athletics rules, PUB = seen in a published text, MEM = from memory, CP = common practice,
LOCAL = local custom.
"""

from __future__ import annotations

import dataclasses
import typing
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from dataclasses import field as _field
from functools import cache

from scoring.errors import NotARuleSet

MOST_ROUNDS = 20
"""No event has more rounds; a larger number is a slip of the keys."""
CUTS = tuple[tuple[int, int], ...]


def _rule(
    default: typing.Any, unit: str, source: str, says: str, choices: tuple[str, ...] = (), *, reckoned: bool = True
) -> typing.Any:
    metadata = {"unit": unit, "source": source, "says": says, "choices": choices, "reckoned": reckoned}
    return _field(default=default, metadata=metadata)


@dataclass(frozen=True, slots=True)
class RuleSet:
    """The rules of one event. `with_changes` makes a local variation."""

    name: str = _rule("international", "name", "LOCAL", "The name under which people choose the set.", reckoned=False)
    title: str = _rule("International rules", "words", "LOCAL", "What the set is, for people.", reckoned=False)

    # How many trials, who goes on, in what order
    rounds: int = _rule(6, "trials", "WA CR 25 / PUB", "Trials for everybody who is not cut.")
    cuts: CUTS = _rule(((3, 8),), "after round: how many", "WA / PUB", "After which rounds how many go on.")
    cut_needs_mark: bool = _rule(True, "yes/no", "MEM", "Only athletes with a valid mark go on.")
    ties_go_on: bool = _rule(True, "yes/no", "PUB", "Fully equal for the last place to go on: all go on.")
    withdrawn_replaced: bool = _rule(
        False, "yes/no", "CP", "Somebody who withdraws after reaching the cut is replaced by the next."
    )
    guests_count_as_starters: bool = _rule(
        False, "yes/no", "LOCAL", "Guests count towards the number of starters that makes a cut."
    )
    guests_hold_place: bool = _rule(False, "yes/no", "LOCAL", "A guest holds one of the places at the cut.")
    guests_go_on: bool = _rule(True, "yes/no", "LOCAL", "A guest good enough goes on as an extra.")
    reorder_before: tuple[int, ...] = _rule(
        (4,), "rounds", "PUB / MEM", "Rounds before which the order is made anew from the ranking."
    )
    order_after_cut: str = _rule(
        "reverse ranking", "choice", "PUB", "The order made anew: the best last, or as drawn.",
        ("reverse ranking", "as drawn"),
    )  # fmt: skip
    first_order: str = _rule(
        "lot",
        "choice",
        "PUB / LOCAL",
        "How flights are made.",
        ("lot", "seeded", "by-board", "school-rotation"),
    )
    a_before_b: bool = _rule(False, "yes/no", "LOCAL", "A strings jump before B strings.")
    flight_size: int = _rule(16, "athletes", "CP", "The most athletes in one flight.")
    spread_schools: bool = _rule(False, "yes/no", "LOCAL", "Schoolmates are spread over and within flights.")
    call: str = _rule(
        "rounds", "choice", "PUB / CP", "Round by round in order, or an open pit with a time window and no order.",
        ("rounds", "open pit"),
    )  # fmt: skip
    open_pit_minutes: int = _rule(
        0, "minutes", "CP", "Open pit: how long it is open, as printed; the officials end it. 0: not stated.",
        reckoned=False,
    )  # fmt: skip
    standard: int = _rule(
        0, "mark", "PUB", "Qualification round: this mark is a Q and ends the athlete's trials; 0: none."
    )
    qualify: int = _rule(0, "athletes", "PUB", "Qualification round: filled up with q to this many; 0: none.")
    consecutive_trials: bool = _rule(
        False, "yes/no", "PUB (US schools)",
        "No round waits for an excused athlete, who takes the trials missed one after another when back.",
    )  # fmt: skip
    excused_minutes: int = _rule(
        0, "minutes", "PUB (US schools)",
        "How long an athlete may be excused before the referee is told; 0: no fixed time.",
    )  # fmt: skip
    absent_without_leave: str = _rule(
        "-", "choice", "LOCAL", "What is written when an athlete is absent without leave.", ("x", "-")
    )
    abandon_rounds: int = _rule(
        3, "rounds", "CP", "An abandoned event has a result if at least so many rounds were completed."
    )

    # Clock
    trial_seconds: int = _rule(60, "s", "MEM (a book of about 2018 had 30 s)", "Time for a trial, from 'all ready'.")
    consecutive_seconds: int = _rule(120, "s", "MEM", "Time for a trial straight after the athlete's last one.")
    warning_seconds: int = _rule(15, "s", "PUB", "The yellow flag is raised for the last so many seconds.")
    protest_minutes: int = _rule(30, "min", "WA TR 8 (MEM)", "Protests are taken so long after posting.")

    # Line, wind, marks
    line: str = _rule(
        "plane", "choice", "WA TR 30.1 since November 2021 / LOCAL",
        "What fails a trial at the take-off line, breaking its plane or a mark left in plasticine or sand: "
        "the judges see to it.",
        ("plane", "mark left"), reckoned=False,
    )  # fmt: skip
    take_off_zone: bool = _rule(
        False, "yes/no", "PUB (juniors' clubs)",
        "Take-off from a zone, measured from the toe print: longer marks can be, and none is a best from a board.",
    )  # fmt: skip
    zone_cm: int = _rule(0, "cm", "PUB (juniors' clubs)", "Depth of the take-off zone.")
    wind_limit_tenths: int = _rule(20, "tenths of m/s", "WA / PUB", "More than this is wind-assisted.")
    nwi_counts_for_bests: bool = _rule(True, "yes/no", "CP", "Marks without wind information count for bests.")
    nwi_counts_for_records: bool = _rule(
        False, "yes/no", "CP", "Marks without wind information may be put forward as records."
    )
    guests_set_records: bool = _rule(
        False, "yes/no", "LOCAL", "Guests may set meet and district records; their own school's they may in any case."
    )
    windy_counts_for_bests: bool = _rule(False, "yes/no", "CP", "Wind-assisted marks count for bests.")
    longest_long_jump_cm: int = _rule(950, "cm", "CP", "A longer long jump is refused: nobody has jumped it.")
    longest_triple_jump_cm: int = _rule(1900, "cm", "CP", "A longer triple jump is refused.")

    # Boards and reach (the judgement of an official)
    reach_margin_cm: int = _rule(100, "cm", "CP", "An athlete should land at least so far into the sand.")
    reach_margin_young_cm: int = _rule(150, "cm", "CP", "The same for the young, or with few known marks.")
    young_under: int = _rule(14, "years", "CP", "Younger than this counts as young for the reach check.")
    few_marks: int = _rule(3, "marks", "CP", "Fewer known marks than this: the larger margin is used.")
    sand_end_margin_cm: int = _rule(50, "cm", "CP", "An athlete should land so far before the end of the sand.")
    jump_share_percent: int = _rule(33, "%", "PUB (coaching book)", "Share of the last phase in a triple jump.")
    board_tolerance_cm: int = _rule(2, "cm", "CP", "The measured board distance may differ by so much.")

    # Questions at the pit
    ask_above_best_cm: int = _rule(40, "cm", "CP", "A mark so far above the athlete's best is asked about.")
    ask_below_best_cm: int = _rule(120, "cm", "CP", "A mark so far below the athlete's best is asked about.")
    ask_wind_flip_tenths: int = _rule(20, "tenths of m/s", "CP", "A wind so different from the last ones is asked.")

    # Places, limits, teams
    tied_first: str = _rule(
        "shared", "choice", "PUB / MEM", "Equal for first place: shared, or extra trials (older rules).",
        ("shared", "extra trials"),
    )  # fmt: skip
    entries_per_school: int = _rule(2, "entries", "LOCAL", "Scoring entries of a school in an event.")
    events_per_athlete: int = _rule(2, "events", "LOCAL", "Events an athlete may enter.")
    older_group_allowed: bool = _rule(True, "yes/no", "LOCAL", "An athlete may compete in an older age group.")
    triple_jump_from: int = _rule(0, "years", "CP", "The youngest age for the triple jump; 0: no limit.")
    points: tuple[int, ...] = _rule((8, 7, 6, 5, 4, 3, 2, 1), "points", "LOCAL", "Points by place.")
    points_by_schools: bool = _rule(
        False, "yes/no", "LOCAL", "First place scores as many points as there are schools in the match."
    )
    scorers_per_school: int = _rule(2, "athletes", "LOCAL", "Scorers of a school in an event; 0: all.")
    over_limit: str = _rule(
        "take up a place",
        "choice",
        "LOCAL",
        "An athlete over the limit takes up a place without points, or is skipped and those below move up.",
        ("take up a place", "are skipped"),
    )
    better_is_a: bool = _rule(False, "yes/no", "CP (British field events)", "The better of a pair counts as A.")
    lone_b_moves_up: bool = _rule(True, "yes/no", "LOCAL", "A school's only B string counts as its A.")
    b_table: bool = _rule(False, "yes/no", "LOCAL", "B strings have a table of points of their own.")
    b_points: tuple[int, ...] = _rule((), "points", "LOCAL", "Points of the B table.")
    equal_totals: str = _rule(
        "stay equal",
        "choice",
        "LOCAL",
        "Equal team totals stay equal, or most firsts decides, then seconds.",
        ("stay equal", "most firsts"),
    )
    combined_points: str = _rule(
        "none", "choice", "PUB", "Combined-events points for each mark.", ("none", "men", "women")
    )

    def with_changes(self, changes: Mapping[str, object]) -> RuleSet:
        """This set with single fields changed. Raises NotARuleSet naming the first of `problems`.

        >>> RuleSet().with_changes({"rounds": 4}).rounds
        4
        """
        wrong = problems(self, changes)
        if wrong:
            raise wrong[0]
        return dataclasses.replace(self, **changes)  # type: ignore[arg-type]

    @property
    def waits_for_the_away(self) -> bool:
        """Whether a round waits for an athlete away with leave before a later one is called."""
        return self.call == "rounds" and not self.consecutive_trials

    @property
    def zone_depth_cm(self) -> int:
        """The depth of the take-off zone, cm; 0 where athletes take off from boards.

        >>> RuleSet(zone_cm=80).zone_depth_cm, RuleSet(take_off_zone=True, zone_cm=80).zone_depth_cm
        (0, 80)
        """
        return self.zone_cm if self.take_off_zone else 0

    def longest_cm(self, triple: bool) -> int:
        """The mark beyond which a row is refused, cm."""
        return self.longest_triple_jump_cm if triple else self.longest_long_jump_cm


@dataclass(frozen=True, slots=True)
class Rule:
    """One field of a rule set, as people read it. `reckoned`: something is computed by it; else it is only shown."""

    name: str
    default: object
    unit: str
    source: str
    says: str
    choices: tuple[str, ...]
    reckoned: bool


def rules() -> Iterator[Rule]:
    """Every field of a rule set with unit, default, source and sentence.

    >>> next(rule.unit for rule in rules() if rule.name == "wind_limit_tenths")
    'tenths of m/s'
    """
    for f in dataclasses.fields(RuleSet):
        yield Rule(f.name, f.default, **f.metadata)


@cache
def _known() -> dict[str, Rule]:
    return {rule.name: rule for rule in rules()}


@cache
def types_of_fields() -> dict[str, typing.Any]:
    """The type of every field, worked out once: rules are put together at every look at an event."""
    return typing.get_type_hints(RuleSet)


def problems(base: RuleSet, changes: Mapping[str, object]) -> list[NotARuleSet]:
    """Every reason why `changes` cannot be made to `base`; empty if they can.

    >>> [str(p) for p in problems(RuleSet(), {"rounds": -1, "line": "?"})]
    ['rounds: -1 is no rule of a rule set; expected 0 or more', \
"line: '?' is no rule of a rule set; expected plane or mark left"]
    """
    known = _known()
    found: list[NotARuleSet] = []
    hints = types_of_fields()
    for name, value in changes.items():
        if name not in known:
            found.append(
                NotARuleSet(name, expected="one of %(known)s", where="rule", params={"known": ", ".join(known)})
            )
        elif not _is_of(value, hints[name]):
            shown = getattr(hints[name], "__name__", str(hints[name]))
            found.append(NotARuleSet(value, expected=f"{shown}, unit {known[name].unit}", where=name))
        elif known[name].choices and value not in known[name].choices:
            found.append(NotARuleSet(value, expected=" or ".join(known[name].choices), where=name))
        elif isinstance(value, int) and not isinstance(value, bool) and value < 0:
            found.append(NotARuleSet(value, expected="0 or more", where=name))
    if found:
        return found
    return _contradictions(dataclasses.replace(base, **changes))  # type: ignore[arg-type]


def _contradictions(rules: RuleSet) -> list[NotARuleSet]:
    found: list[NotARuleSet] = []
    if not 1 <= rules.rounds <= MOST_ROUNDS:
        found.append(
            NotARuleSet(rules.rounds, expected="1 to %(most)s trials", where="rounds", params={"most": MOST_ROUNDS})
        )
    last_round, last_many = 0, None
    for after, many in rules.cuts:
        if not last_round < after < rules.rounds:
            found.append(NotARuleSet(after, expected="a round after the last cut, before the end", where="cuts"))
        if many < 1 or (last_many is not None and many > last_many):
            found.append(NotARuleSet(many, expected="at least 1, no more than the cut before", where="cuts"))
        last_round, last_many = after, many
    if any(not 1 < r <= max(rules.rounds, 2) for r in rules.reorder_before):
        found.append(NotARuleSet(rules.reorder_before, expected="rounds 2 to the last", where="reorder_before"))
    for name, points in (("points", rules.points), ("b_points", rules.b_points)):
        if list(points) != sorted(points, reverse=True) or min(points, default=0) < 0:
            found.append(NotARuleSet(points, expected="the most points first, none below zero", where=name))
    if rules.call == "open pit" and rules.cuts:
        found.append(NotARuleSet(rules.cuts, expected="no cut in an open pit", where="cuts"))
    if rules.flight_size < 1:
        found.append(NotARuleSet(rules.flight_size, expected="at least 1 athlete", where="flight_size"))
    if rules.b_table and not rules.b_points:
        found.append(NotARuleSet(rules.b_points, expected="the points of the table for B strings", where="b_points"))
    if rules.take_off_zone and not rules.zone_cm:
        found.append(NotARuleSet(rules.zone_cm, expected="the depth of the zone", where="zone_cm"))
    return found


def _is_of(value: object, hint: object) -> bool:
    if typing.get_origin(hint) is tuple:
        inner = typing.get_args(hint)
        if not isinstance(value, tuple):
            return False
        if len(inner) == 2 and inner[1] is Ellipsis:
            return all(_is_of(item, inner[0]) for item in value)
        return len(value) == len(inner) and all(_is_of(v, h) for v, h in zip(value, inner, strict=True))
    return type(value) is hint
