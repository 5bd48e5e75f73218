"""A result as a document: plain values and sentences, as they were when it was published."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime

from meets.models import Event, Meet, Publication
from meets.publishing.lines import add_points, line_from_log
from meets.records.reads import Honours, honours_of
from meets.running.public_names import public_name
from meets.running.reads import Person, entries_of
from meets.running.team_points import points_of
from meets.sheets.reads import Known, known
from meets.sheets.results import WINDY_BEST, result_sheet
from scoring.event import held_back
from scoring.places import Placed
from scoring.rulesets import RuleSet, rules, to_written

FORMAT = 1
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
        add_points(document)
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
    person = shown.people[placed.entry]
    from_log = line_from_log(shown.state, placed, shown.unit)
    best = from_log["best"]
    own = shown.honours[placed.entry] if best else Honours()
    return {
        **from_log,
        "bib": person.bib,
        "name": person.name,
        "school": {"code": person.school_code, "name": person.school},
        "year": person.year_group,
        "string": person.string,
        "points": "",
        "signs": [*own.signs, *([WINDY_BEST] if own.windy_shown else [])],
        "sign_mark": own.best_shown if own.signs and best and not _is_best(own, best) else "",
        "standard": own.standard,
        "records": [hit.says for hit in own.records],
    }


def _is_best(own: Honours, best: Mapping[str, object]) -> bool:
    """Whether the mark that a sign speaks of is the best itself."""
    return own.best_shown.removesuffix("w") == best["shown"]
