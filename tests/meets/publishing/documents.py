"""A published result made by hand, as valid as one of the product: three athletes of two schools and a guest."""

from copy import deepcopy
from hashlib import sha256

from meets.publishing.canonical import canonical
from meets.publishing.document import written_rules
from scoring.marks import show_mark
from scoring.rulesets import rule_set
from scoring.wind import Wind, show_wind
from tests.factories import MEET_DAY, START, PublicationFactory

LIMIT_TENTHS = 20


def wind(tenths):
    """A wind as documents hold it: a number of tenths, "NWI", "owed" or None."""
    if tenths is None:
        return None
    if tenths == "NWI":
        return {"nwi": True, "shown": "NWI"}
    if tenths == "owed":
        return {"owed": True, "shown": "wind to come"}
    return {"tenths": tenths, "shown": show_wind(Wind(tenths)), "legal": tenths <= LIMIT_TENTHS}


def trial(round, mark, tenths=None, *, replacement=0, counts=True):
    """A trial: a mark, "x", "-", "r", "o", or "held"."""
    results = {"x": "fail", "-": "pass", "r": "retired", "o": "not measured", "held": "mark"}
    is_mark = isinstance(mark, int)
    return {
        "round": round,
        "replacement": replacement,
        "result": "mark" if is_mark else results[mark],
        "mark": mark if is_mark else None,
        "shown": show_mark(mark) if is_mark else "under protest" if mark == "held" else mark,
        "wind": wind(tenths),
        "board_cm": None,
        "counts": counts,
        "held": mark == "held",
    }


def best(mark, tenths=None):
    return {"mark": mark, "shown": show_mark(mark), "wind": wind(tenths)}


def line(entry, bib, series=(), **values):
    """A line of a result; the best is found in the series."""
    marks = [one for one in series if one["mark"] is not None and one["counts"]]
    top = max(marks, key=lambda one: one["mark"], default=None)
    return {
        "entry": entry,
        "bib": bib,
        "name": f"Athlete {bib}",
        "school": {"code": "THW", "name": "Thornwick School"},
        "year": "9",
        "string": "",
        "guest": False,
        "klass": "",
        "place": None,
        "shared": False,
        "status": "" if top else "NM",
        "status_reason": "",
        "best": {"mark": top["mark"], "shown": top["shown"], "wind": top["wind"]} if top else None,
        "best_legal": None,
        "series": list(series),
        "points": "",
        "signs": [],
        "sign_mark": "",
        "standard": "",
        "records": [],
        "qualified": "",
        **values,
    }


def lines():
    elmgarth = {"code": "ELG", "name": "Elmgarth Academy"}
    return [
        line(
            "104", "4", [trial(1, 543, 14), trial(2, "x"), trial(3, 521, 23)],
            name="Ilsa A.", place=1, points="8", signs=["PB"],
        ),
        line(
            "109", "9", [trial(1, 530, 6), trial(2, 498, 2), trial(3, "-")],
            name="Maren B.", guest=True,
        ),
        line(
            "107", "7", [trial(1, 512, 21), trial(2, 509, 11), trial(3, "x")],
            name="Tove C.", school=elmgarth, place=2, points="7", best_legal=best(509, 11),
        ),
        line("108", "8", [trial(1, "x"), trial(2, "x"), trial(3, "x")], name="", school=elmgarth, year=""),
    ]  # fmt: skip


def document(**changes):
    """The whole document; `changes` replace values at its top, `meet` and `event` single ones of theirs."""
    found = {
        "kind": "result",
        "format": 1,
        "address": "https://jumps.example.org/results/spring-jumps/12/",
        "meet": {
            "slug": "spring-jumps",
            "name": "Spring jumps",
            "date": MEET_DAY.isoformat(),
            "venue": "Pyddle Vale",
            "time_zone": "Europe/London",
            "unit": "cm",
            "paper": "A4",
            "schools_in_match": 2,
        },
        "event": {
            "number": 12,
            "name": "U15 girls long jump",
            "discipline": "LJ",
            "category": "girls",
            "age_group": "U15",
        },
        "version": 1,
        "status": "provisional",
        "published_at": "2027-06-12T14:22:05Z",
        "published_by": "O. Rganiser",
        "reason": "",
        "declared_by": "",
        "protests_until": "2027-06-12T14:52:05Z",
        "log_version": 31,
        "stage": "closed",
        "rounds": 3,
        "counted_rounds": None,
        "rules": {"set": "three-only", "fields": written_rules(rule_set("three-only"))},
        "cuts": [],
        "lines": lines(),
        "notes": {
            "ties": [],
            "remarks": [],
            "cuts": [],
            "wind": "",
            "key": [["x", "failed"], ["-", "pass"], ["w", "wind over +2.0 m/s"], ["G", "guest: no place, no points"]],
        },
        "officials": [["referee", ""], ["recorder", ""]],
        "supersedes": None,
        "changes": [],
    }
    for part in ("meet", "event", "notes"):
        found[part] |= changes.pop(part, {})
    return deepcopy(found | changes)


def published(event, document_of=None, **values):
    """A stored version of an event's result with a hand-made document; `values` go to the factory."""
    found = document_of or document(
        event={"number": event.pk, "name": event.name}, meet={"slug": event.meet.slug, "name": event.meet.name}
    )
    text = canonical(found)
    return PublicationFactory(
        event=event,
        **{
            "document": text,
            "sha256": sha256(text.encode()).hexdigest(),
            "version": found["version"],
            "status": found["status"],
            "at": START,
            **values,
        },
    )


def standings(meet, **changes):
    """Team standings made by hand: two schools, one event."""
    found = document()
    about = {name: found[name] for name in ("published_at", "published_by", "reason", "supersedes", "changes")}
    return {
        "kind": "standings",
        "format": 1,
        "address": "",
        "meet": {**found["meet"], "slug": meet.slug, "name": meet.name},
        "version": 1,
        "status": "provisional",
        **about,
        "equal_totals": "stay equal",
        "events": [{"number": 12, "name": "U15 girls LJ", "version": 1, "sha256": "0" * 64, "status": "official"}],
        "schools": [
            school("THW", "Thornwick School", 1, "8"),
            school("ELG", "Elmgarth Academy", 2, "7"),
        ],
        "lines": [
            {"event": 12, "entry": "104", "bib": "4", "school": "THW", "table": "", "position": 1, "points": "8"},
            {"event": 12, "entry": "107", "bib": "7", "school": "ELG", "table": "", "position": 2, "points": "7"},
        ],
        **changes,
    }  # fmt: skip


def school(code, name, place, points):
    own = {"code": code, "name": name, "place": place, "shared": False, "points": points}
    return {**own, "by_event": {"12": points}, "penalties": []}


def published_standings(meet, **values):
    """A stored version of the team standings with a hand-made document."""
    text = canonical(standings(meet))
    hashed = sha256(text.encode()).hexdigest()
    return PublicationFactory(meet=meet, event=None, version=1, document=text, sha256=hashed, at=START, **values)
