"""A result as a document: plain values and sentences, as they were when it was published."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime

from django.utils.translation import gettext as _

from meets.models import Event, Meet, Publication
from meets.publishing.rederive import points_in
from meets.records.reads import Honours, honours_of
from meets.running.public_names import public_name
from meets.running.reads import Person, entries_of
from meets.running.team_points import points_of
from meets.sheets.reads import Known, known
from meets.sheets.results import WINDY_BEST, result_sheet
from scoring.event import held_back
from scoring.log import Turn
from scoring.marks import show_mark
from scoring.places import Placed
from scoring.rulesets import RuleSet, rules, to_written
from scoring.state import EntryState, TurnState
from scoring.trials import Result, Trial, show_trial
from scoring.wind import Wind, WindStatus, show_wind, wind_status

FORMAT = 1
RESULTS = {
    Result.MARK: "mark",
    Result.FAIL: "fail",
    Result.PASS: "pass",
    Result.RETIRED: "retired",
    Result.NOT_MEASURED: "not measured",
}
NOT_RULES = ("name", "title")


def result_document(
    draft: Mapping[str, object],
    *,
    now: datetime,
    status: str,
    version: int,
    by: str,
    reason: str,
    protests_until: datetime | None,
    before: Publication | None,
    referee: str = "",
    address: str = "",
    changes: Sequence[Mapping[str, str]] = (),
) -> dict[str, object]:
    """The next version of a result, for everybody, from its draft.

    `address` is that of its public page, if there is one; `referee` who declared it official before its time.
    """
    return {
        **draft,
        **about_version(status, version, now, by, reason, before),
        "protests_until": in_utc(protests_until) if protests_until else None,
        "declared_by": referee,
        "address": address,
        "changes": [*changes],
    }


def draft_of(event: Event, now: datetime) -> dict[str, object]:
    """All of the document that does not hang on its version."""
    shown = public_known(event, now)
    sheet = result_sheet(shown, now)
    document = {
        "kind": "result",
        "format": FORMAT,
        "meet": {**about_meet(event.meet), "schools_in_match": shown.schools_in_match},
        "event": {
            "number": event.pk,
            "name": event.name,
            "discipline": event.discipline,
            "category": event.category,
            "age_group": event.age_group,
        },
        "log_version": shown.state.version,
        "stage": str(shown.state.stage),
        "rounds": sheet.rounds,
        "counted_rounds": shown.state.counted_rounds,
        "rules": {"set": event.meet.rule_set, "fields": written_rules(shown.state.rules)},
        "cuts": [
            {"after_round": cut.after_round, "going_on": [*cut.going_on], "under_protest": [*cut.under_protest]}
            for cut in shown.state.cuts
        ],
        "lines": [_line(shown, placed) for placed in shown.state.places],
        "notes": {
            "ties": [*sheet.tie_notes],
            "remarks": [*sheet.remarks],
            "cuts": [[above, says] for above, says in sheet.cuts],
            "wind": sheet.wind_note,
            "key": [[sign, meaning] for sign, meaning in sheet.key],
        },
        "officials": [[role, name] for role, name in sheet.officials],
    }
    if shown.state.stage.is_over:
        _with_points(document)
    return document


def about_meet(meet: Meet) -> dict[str, object]:
    return {
        "slug": meet.slug,
        "name": meet.name,
        "date": meet.date.isoformat(),
        "venue": meet.venue,
        "time_zone": meet.time_zone,
        "unit": meet.unit,
        "paper": meet.paper,
    }


def about_version(
    status: str, version: int, now: datetime, by: str, reason: str, before: Publication | None
) -> dict[str, object]:
    return {
        "version": version,
        "status": str(status),
        "published_at": in_utc(now),
        "published_by": by,
        "reason": reason,
        "supersedes": {"version": before.version, "sha256": before.sha256} if before else None,
    }


def in_utc(moment: datetime) -> str:
    return f"{moment.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"


def public_known(event: Event, now: datetime) -> Known:
    """What sheets know of an event, as the public may: names as the meet has chosen, nothing that is held back."""
    found = known(event, now)
    state = held_back(found.state)
    entries = entries_of(event)
    athletes = {str(entry.pk): entry.athlete for entry in entries}
    people = {
        key: _public(person, public_name(athletes[key], event.meet), athletes[key].school_year)
        for key, person in found.people.items()
    }
    points = points_of(event, state, found.schools_in_match)
    honours = honours_of(event, state, entries)
    return replace(found, state=state, people=people, points=points, honours=honours)


def _public(person: Person, name: str, school_year: str) -> Person:
    """Who is shown by bib and school only is not told apart by the year either; a year of birth is never shown."""
    return replace(person, name=name, year_group=school_year if name else "")


def written_rules(of: RuleSet) -> dict[str, str]:
    """Every field in its written form: a document must be understood when defaults have changed."""
    return {rule.name: to_written(rule.name, getattr(of, rule.name)) for rule in rules() if rule.name not in NOT_RULES}


def _line(shown: Known, placed: Placed) -> dict[str, object]:
    entry, person = shown.state.entry(placed.entry), shown.people[placed.entry]
    best = entry.series.best_trial if placed.best is not None else None
    own = shown.honours[placed.entry] if best else Honours()
    return {
        "entry": placed.entry,
        "bib": person.bib,
        "name": person.name,
        "school": {"code": person.school_code, "name": person.school},
        "year": person.year_group,
        "string": person.string,
        "guest": placed.guest,
        "klass": entry.line.klass,
        "place": placed.place,
        "shared": bool(placed.shared_with),
        "status": placed.status,
        "status_reason": entry.status_reason if placed.status == "DQ" else "",
        "best": _mark(shown, best) if best else None,
        "best_legal": _best_legal(shown, entry, best) if best else None,
        "series": [] if placed.status == "DQ" else _series(shown, entry),
        "points": "",
        "signs": [*own.signs, *([WINDY_BEST] if own.windy_shown else [])],
        "sign_mark": own.best_shown if own.signs and best and not _is_best(own, shown, best) else "",
        "standard": own.standard,
        "records": [hit.says for hit in own.records],
        "qualified": entry.qualified,
    }


def _mark(shown: Known, trial: Trial) -> dict[str, object]:
    return {"mark": trial.valid_mark, "shown": _shown(shown, trial), "wind": _wind(shown, trial)}


def _is_best(own: Honours, shown: Known, best: Trial) -> bool:
    """Whether the mark that a sign speaks of is the best itself."""
    return own.best_shown.removesuffix("w") == _shown(shown, best)


def _shown(shown: Known, trial: Trial) -> str:
    return show_mark(trial.valid_mark or 0, shown.unit)


def _best_legal(shown: Known, entry: EntryState, best: Trial) -> dict[str, object] | None:
    """The best with a legal wind, where the best itself had too much."""
    limit = shown.state.rules.wind_limit_tenths
    if wind_status(best.wind, limit) is not WindStatus.WINDY:
        return None
    legal = (t for t in entry.series.trials if t.valid_mark and wind_status(t.wind, limit) is WindStatus.LEGAL)
    trial = max(legal, key=lambda t: t.valid_mark or 0, default=None)
    return _mark(shown, trial) if trial else None


def _series(shown: Known, entry: EntryState) -> list[dict[str, object]]:
    turns = [turn for turn in entry.turns if turn.trial is not None or turn.disputed]
    jumped = {turn.turn.round for turn in turns if turn.counts}
    found = [_turn(shown, turn) for turn in turns]
    for round, trial in entry.by_round.items():
        if round not in jumped:
            missed = TurnState(Turn(entry.line.entry, round), trial)
            found.append(_turn(shown, missed))
    return sorted(found, key=lambda trial: (trial["round"], trial["replacement"]))


def _turn(shown: Known, turn: TurnState) -> dict[str, object]:
    trial = turn.trial or Trial(Result.MARK)
    if turn.held:
        words = _("to be settled") if turn.disputed else _("under protest")
    else:
        words = show_trial(trial, shown.unit)
    valid = trial.valid_mark
    failed = valid is None and trial.result is Result.MARK and not turn.held
    return {
        "round": turn.turn.round,
        "replacement": turn.turn.replacement,
        "result": "mark" if valid is not None or turn.disputed else RESULTS[Result.FAIL if failed else trial.result],
        "mark": valid,
        "shown": words,
        "wind": None if turn.disputed else _wind(shown, trial),
        "board_cm": trial.board_cm if trial.taken and not turn.disputed else None,
        "counts": turn.counts,
        "held": turn.held,
    }


def _wind(shown: Known, trial: Trial) -> dict[str, object] | None:
    """A reading, `nwi` where it was declared missing, `owed` where a mark still waits for it."""
    if trial.wind is None:
        return {"owed": True, "shown": _("wind to come")} if trial.valid_mark is not None else None
    if trial.wind.tenths is None:
        return {"nwi": True, "shown": show_wind(trial.wind)}
    legal = wind_status(Wind(trial.wind.tenths), shown.state.rules.wind_limit_tenths) is WindStatus.LEGAL
    return {"tenths": trial.wind.tenths, "shown": show_wind(trial.wind), "legal": legal}


def _with_points(document: dict[str, object]) -> None:
    points = points_in(document)
    for line in document["lines"]:
        line["points"] = points.get(line["entry"], "")
