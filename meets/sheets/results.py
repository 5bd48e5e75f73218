"""A result from the state of an event: its lines, what stands where, and the key to its signs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from meets.sheets.documents import ResultLine, ResultSheet
from meets.sheets.reads import Known
from meets.sheets.remarks import remarks, tie_notes, wind_note
from meets.sheets.unscored import unscored
from meets.sheets.wording import as_of, clock, roles
from scoring.combined import CombinedTable, long_jump_points
from scoring.marks import mark_in_cm, show_mark
from scoring.places import Placed
from scoring.state import EntryState, Stage
from scoring.trials import Trial, show_trial
from scoring.wind import Wind, WindStatus, show_wind, wind_status

NWI = "NWI"
WINDY_BEST = "PBw"


def result_sheet(known: Known, posted_at: datetime | None = None) -> ResultSheet:
    """The result as it stands. `posted_at`: when it is posted; protests are taken for so long after it."""
    state = known.state
    over = state.stage.is_over
    posted = posted_at if over else None
    until = posted + timedelta(minutes=state.rules.protest_minutes) if posted else None
    lines = tuple(_line(known, placed) for placed in state.places)
    return ResultSheet(
        about=replace(known.about, version=as_of(known.log, known.zone), report_at=""),
        status=_stage(state.stage),
        lines=lines,
        rounds=max([state.rounds, *(len(line.series) for line in lines)]),
        posted_at=clock(posted, known.zone),
        protests_before=clock(until, known.zone),
        protest_minutes=state.rules.protest_minutes if over else 0,
        cuts=tuple(_cuts(known)),
        tie_notes=(*tie_notes(known), *_unscored(known)),
        remarks=remarks(known),
        wind_note=wind_note(known),
        officials=tuple((role, "") for role in roles()),
        key=tuple(_key(known, lines)),
    )


def _stage(stage: Stage) -> str:
    """How far the result is, in a word; nothing is official before the time for protests is over."""
    if stage.is_over:
        return _("Provisional")
    if stage in (Stage.NOT_DRAWN, Stage.DRAWN):
        return _("Not begun")
    return _("Suspended") if stage is Stage.SUSPENDED else _("In progress")


def _line(known: Known, placed: Placed) -> ResultLine:
    entry = known.state.entry(placed.entry)
    person = known.people[placed.entry]
    limit = known.state.rules.wind_limit_tenths
    best = entry.series.best_trial if placed.best is not None else None
    legal = _other_legal(known, entry, best) if best else ("", "")
    return ResultLine(
        place=_place(placed),
        bib=person.bib,
        name=person.name,
        school=person.school,
        string=_("guest") if placed.guest else person.string,
        year_group=person.year_group,
        best=_mark(best, limit, known) if best else _status(placed, entry),
        best_wind=show_wind(best.wind) if best else "",
        legal=legal[0],
        legal_wind=legal[1],
        series=() if placed.status == "DQ" else series_of(known, entry),
        points=points(known, placed),
        marks=tuple(_signs(known, entry, best)) if best else (),
        klass=entry.line.klass,
    )


def _status(placed: Placed, entry: EntryState) -> str:
    """NM, DNS or DQ. Whoever jumped has started, though none of the rounds jumped may count."""
    jumped = any(turn.trial is not None and turn.trial.taken for turn in entry.turns)
    return "" if placed.status == "DNS" and jumped else placed.status


def _place(placed: Placed) -> str:
    if placed.guest and placed.best is not None:
        return "G"
    if placed.place is None:
        return ""
    return f"{placed.place}=" if placed.shared_with else str(placed.place)


def _mark(trial: Trial, limit_tenths: int, known: Known) -> str:
    """A trial as it stands on the sheet: `w` behind a valid mark with too much wind."""
    text = show_trial(trial, known.unit)
    windy = trial.valid_mark is not None and wind_status(trial.wind, limit_tenths) is WindStatus.WINDY
    return f"{text}w" if windy else text


def series_of(known: Known, entry: EntryState) -> tuple[tuple[str, str], ...]:
    """Trial and wind for each round so far; what does not count stands in brackets."""
    limit = known.state.rules.wind_limit_tenths
    found = {round: (_mark(trial, limit, known), show_wind(trial.wind)) for round, trial in entry.by_round.items()}
    for turn in entry.turns:
        if turn.trial is not None and turn.turn.round not in found:
            found[turn.turn.round] = (f"({_mark(turn.trial, limit, known)})", show_wind(turn.trial.wind))
    return tuple(found.get(round, ("", "")) for round in range(1, max(found, default=0) + 1))


def _other_legal(known: Known, entry: EntryState, best: Trial) -> tuple[str, str]:
    """The best legal mark with its wind, where the best is not legal for too much wind."""
    limit = known.state.rules.wind_limit_tenths
    if wind_status(best.wind, limit) is not WindStatus.WINDY:
        return "", ""
    mark = entry.series.best_legal
    if mark is None:
        return _("none"), ""
    wind: Wind | None = next(
        trial.wind
        for trial in entry.series.trials
        if trial.valid_mark == mark and wind_status(trial.wind, limit) is WindStatus.LEGAL
    )
    return show_mark(mark, known.unit), show_wind(wind)


def points(known: Known, placed: Placed) -> str:
    """Team points once the event is over; combined-events points of a long jump where the rules say so."""
    table = known.state.rules.combined_points
    if table != "none" and not known.triple:
        return str(long_jump_points(mark_in_cm(placed.best, known.unit), CombinedTable(table))) if placed.best else ""
    return known.points.get(placed.entry, "") if known.state.stage.is_over else ""


def _unscored(known: Known) -> Iterator[str]:
    """Why somebody with a place has no points, where the points are shown."""
    if not any(points(known, placed) for placed in known.state.places):
        return
    why = unscored(known.state, known.schools_in_match)
    for placed in known.state.places:
        if placed.entry in why:
            yield _("Bib %(bib)s: %(why)s") % {"bib": known.people[placed.entry].bib, "why": why[placed.entry]}


def _signs(known: Known, entry: EntryState, best: Trial) -> Iterator[str]:
    """Personal or season's best with its mark where that is not the best itself; Q, standard, records."""
    own = known.honours[entry.line.entry]
    tagged = f"{own.best_shown} NWI" if own.best_wind == NWI else own.best_shown
    other = own.best_shown != _mark(best, known.state.rules.wind_limit_tenths, known)
    yield from (f"{sign} {tagged}" if other else sign for sign in own.signs)
    if own.windy_shown:
        yield WINDY_BEST
    if entry.qualified:
        yield entry.qualified
    if own.standard:
        yield f"{own.standard} {NWI}" if own.best_wind == NWI else own.standard
    yield from (hit.says for hit in own.records)


def _cuts(known: Known) -> Iterator[tuple[int, str]]:
    """Each cut as taken: under the last line that went on. Not drawn where every class has its own places."""
    places = known.state.places
    if any(entry.line.klass for entry in known.state.entries):
        return
    for cut in known.state.cuts:
        inside = {*cut.going_on, *cut.under_protest}
        last = max((n for n, p in enumerate(places, 1) if p.best is not None and p.entry in inside), default=0)
        if last < len(places):
            guests = sum(known.state.entry(key).guest for key in inside)
            count = len(inside) - guests
            words = ngettext(
                "Cut after round %(round)d: %(count)d went on", "Cut after round %(round)d: %(count)d went on", count
            ) % {"round": cut.after_round, "count": count}
            if guests:
                words += ngettext(", and %(count)d guest", ", and %(count)d guests", guests) % {"count": guests}
            yield last, words


def _key(known: Known, lines: Sequence[ResultLine]) -> Iterator[tuple[str, str]]:
    """The signs that the sheet uses, each with its meaning."""
    trials = [trial for line in lines for trial, _wind in line.series]
    winds = {wind for line in lines for _trial, wind in line.series}
    shown = {*(trial.strip("()") for trial in trials), *(line.best for line in lines)}
    limit = show_wind(Wind(known.state.rules.wind_limit_tenths))
    meanings = [
        ("x", _("failed"), "x" in shown),
        ("-", _("pass"), "-" in shown),
        ("r", _("retired"), "r" in shown),
        ("o", _("valid, not measured"), "o" in shown),
        ("( )", _("does not count"), any(trial.startswith("(") for trial in trials)),
        ("w", _("wind over %(limit)s m/s") % {"limit": limit}, any(text.endswith("w") for text in shown)),
        ("NWI", _("no wind information"), "NWI" in winds),
        ("=", _("shared place"), any(line.place.endswith("=") for line in lines)),
        ("G", _("guest: no place, no points"), any(line.place == "G" for line in lines)),
        ("NM", _("no valid mark"), "NM" in shown),
        ("DNS", _("did not start"), "DNS" in shown),
        ("DQ", _("disqualified"), "DQ" in shown),
    ]
    signs = {word for line in lines for sign in line.marks for word in sign.split()}
    meanings += [
        ("PB", _("personal best"), "PB" in signs),
        ("SB", _("season's best"), "SB" in signs),
        (WINDY_BEST, _("wind-assisted best, kept beside the personal best"), WINDY_BEST in signs),
        ("Q", _("qualified by the standard"), "Q" in signs),
        ("q", _("qualified by place"), "q" in signs),
    ]
    return ((sign, meaning) for sign, meaning, used in meanings if used)
