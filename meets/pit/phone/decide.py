"""What of a session is to be decided, and the places as they stand, as phones show them."""

from collections.abc import Iterator
from dataclasses import replace

from django.urls import reverse
from django.utils.translation import gettext as _

from meets.pit.decisions.reads import Verdict, alarm_words, place_words, verdicts_of
from meets.pit.due import due_of
from meets.pit.phone import told_decisions as told
from meets.pit.phone.own import Own
from meets.pit.phone.turns import owed_winds
from meets.pit.sync.views import in_ms
from meets.pit.written import turn_name, wind_shown
from meets.running.reads import SessionView
from meets.running.words import say
from scoring.alarms import DISPUTED, DISPUTED_WIND, OWED, PROTEST
from scoring.explain import explain_place, explain_trials
from scoring.facts import to_plain
from scoring.log import Row, Turn
from scoring.marks import Unit, show_mark
from scoring.state import EntryState, EventState, Stage
from scoring.trials import Trial, show_trial
from scoring.wind import Wind

LISTED = (DISPUTED, DISPUTED_WIND, OWED, PROTEST)
ON_A_PAGE = ("trials", "cut", "order", "disputes", "close")


def due(own: Own, measure: list[told.Due]) -> list[told.Due]:
    """`measure`: boards to be measured first."""
    view = own.whole
    found = [
        told.Due(one.event_id, one.kind, one.sentence, _link(view, one.event_id, one.kind)) for one in due_of(view)
    ]
    ready = [
        told.Due(event_id, "ready", _("The sand has not been signed off."), _page(view, "ready"))
        for event_id, state in view.states.items()
        if not state.ready and state.stage in (Stage.DRAWN, Stage.IN_PROGRESS)
    ]
    return [*ready, *measure, *found]


def _link(view: SessionView, event_id: int, kind: str) -> str:
    if kind in ON_A_PAGE:
        return decide_link(view, event_id)
    return _page(view, "everybody") if kind == "away" else ""


def decide_link(view: SessionView, event_id: int) -> str:
    return reverse("pit:decide", args=[view.session.pk, event_id])


def _page(view: SessionView, name: str) -> str:
    return reverse(f"pit:{name}", args=[view.session.pk])


def links(own: Own) -> told.Links:
    view = own.whole
    waiting = [] if own.blind else [one.event_id for one in due_of(view) if one.kind in ON_A_PAGE]
    event_id = next(iter([*waiting, *view.events]), None)
    return told.Links(
        session=_page(view, "session"),
        everybody=_page(view, "everybody"),
        places=_page(view, "places"),
        ready=_page(view, "ready"),
        stop=_page(view, "stop"),
        winds=_page(view, "winds"),
        decide="" if event_id is None else decide_link(view, event_id),
    )


def alarms(own: Own) -> list[told.Alarm]:
    """Without what stands in a list of its own."""
    view = own.whole
    return [
        told.Alarm(event_id, alarm.key, alarm_words(alarm, view.people[event_id]), alarm.entries)
        for event_id, state in view.states.items()
        for alarm in state.alarms
        if alarm.message not in LISTED
    ]


def disputes(own: Own) -> list[told.Dispute]:
    """Differences between records, with what each of them says; for a second recorder those of that record."""
    found = []
    for event_id, state in own.whole.states.items():
        log, people = own.whole_logs[event_id], own.whole.people[event_id]
        unit = Unit(own.whole.events[event_id].meet.unit)
        for turn in (turn for turn in state.disputes if turn.entry in people):
            stands = next(one for one in state.entry(turn.entry).turns if one.turn == turn)
            for what, differ, rows in (
                ("trial", stands.disputed, log.heads.get(turn, [])),
                ("wind", stands.wind_disputed, log.winds.get(turn, [])),
            ):
                if differ and (not own.blind or any(row.recorder == own.record for row in rows)):
                    values = [
                        told.Said([row.id], shown(row, unit), row.by, row.recorder, to_plain(row.fact)) for row in rows
                    ]
                    bib = people[turn.entry].bib
                    found.append(told.Dispute(turn_name(turn), event_id, turn.entry, bib, what, _by_value(values)))
    return found


def _by_value(said: list[told.Said]) -> list[told.Said]:
    """What several rows say alike is one value."""
    values: dict[tuple[str, str], told.Said] = {}
    for one in said:
        key = (one.shown, one.recorder)
        rows = [*values[key].rows, *one.rows] if key in values else one.rows
        values[key] = told.Said(rows, one.shown, one.by, one.recorder, one.values)
    return list(values.values())


def shown(row: Row, unit: Unit) -> str:
    """What a row says of a trial or a wind; a mark measured under protest with it."""
    fact = row.fact
    if not hasattr(fact, "result"):
        return wind_shown(Wind(fact.tenths))
    said = show_trial(Trial(fact.result, fact.mark, under_protest=fact.under_protest), unit)
    if fact.mark is None or said[0].isdecimal():
        return said
    return _("%(trial)s (measured %(mark)s)") % {"trial": said, "mark": show_mark(fact.mark, unit)}


def owed(own: Own) -> list[told.Owed]:
    """Measured trials whose wind nobody has said, in the order of rounds."""
    found = []
    for event_id, state in own.view.states.items():
        unit, people = Unit(own.view.events[event_id].meet.unit), own.view.people[event_id]
        for turn in sorted(owed_winds(own, event_id), key=lambda turn: turn.round):
            trial = next(one.trial for one in state.entry(turn.entry).turns if one.turn == turn)
            mark = "" if trial is None else show_trial(trial, unit)
            found.append(told.Owed(turn_name(turn), event_id, turn.entry, people[turn.entry].bib, turn.round, mark))
    return found


def protests(own: Own) -> list[told.Protest]:
    found = []
    for event_id, state in own.whole.states.items():
        people = own.whole.people[event_id]
        for one in state.protests:
            turn = turn_name(Turn.of(one)) if one.round else ""
            bib = people[one.entry].bib if one.entry in people else ""
            at = in_ms(one.lodged_at) if one.lodged_at else None
            found.append(
                told.Protest(
                    one.protest, event_id, one.entry, turn, bib, one.by, one.reason, at, one.upheld, one.decision
                )
            )
    return found


def trials(own: Own) -> told.Trials | None:
    for event_id, state in own.whole.states.items():
        if state.trials_proposal is not None:
            after = state.rules.cuts[0][0] if state.rules.cuts else state.rounds
            says = say(explain_trials(state.trials_proposal, cut_after=after))
            return told.Trials(event_id, says, decide_link(own.whole, event_id))
    return None


def cut(own: Own) -> told.Cut | None:
    """The first cut that is due: whom to call in which order, and what is told to those who are out."""
    for event_id, state in own.whole.states.items():
        if state.cut_proposal is not None:
            return _cut(own.whole, event_id, state)
    return None


def _cut(view: SessionView, event_id: int, state: EventState) -> told.Cut:
    proposal, people = state.cut_proposal, view.people[event_id]
    verdicts = verdicts_of(proposal, state, people, Unit(view.events[event_id].meet.unit))
    of = {verdict.person.entry: verdict for verdict in verdicts}
    going = [*proposal.under_protest, *(one.person.entry for one in verdicts if one.goes_on)]
    order = state.order_proposal.order if state.order_proposal is not None else tuple(dict.fromkeys(going))
    out = [_called(one) for one in verdicts if not one.goes_on and one.person.entry not in order]
    says = _("After round %(round)d %(many)d go on; in this order:")
    return told.Cut(
        event=event_id,
        says=says % {"round": proposal.after_round, "many": len(order)},
        order=[_called(of[entry]) for entry in order],
        out=out,
        first_out=_("Bib %(bib)s: %(says)s") % {"bib": out[0].bib, "says": out[0].says} if out else "",
        link=decide_link(view, event_id),
    )


def _called(verdict: Verdict) -> told.Called:
    person = verdict.person
    return told.Called(person.entry, person.bib, person.name, verdict.best, verdict.sentence)


def places(own: Own) -> list[told.Places]:
    """As they stand."""
    view = own.whole
    found = []
    for event_id, state in view.states.items():
        unit = Unit(view.events[event_id].meet.unit)
        found.append(told.Places(event_id, list(_place_rows(state, view, event_id, unit))))
    return found


def public_places(own: Own, most: int) -> list[told.Places]:
    """Who leads. A best that is disputed is being checked; one under protest does not count yet anyway."""
    return [
        told.Places(one.event, [_public(row, own.whole.states[one.event]) for row in one.rows if row.best][:most])
        for one in places(own)
    ]


def _public(row: told.PlaceRow, state: EventState) -> told.PlaceRow:
    checked = is_being_checked(state.entry(row.entry))
    return replace(row, best="", why=_("being checked")) if checked else replace(row, why="")


def _place_rows(state: EventState, view: SessionView, event_id: int, unit: Unit) -> Iterator[told.PlaceRow]:
    people = view.people[event_id]
    for placed in state.places:
        entry = state.entry(placed.entry)
        best = "" if placed.best is None else show_mark(placed.best, unit)
        sentences = explain_place(placed, lambda key: people[key].bib, unit, reason=entry.status_reason)
        why = " ".join(say(sentence) for sentence in sentences)
        person = people[placed.entry]
        yield told.PlaceRow(place_words(placed), placed.entry, person.bib, person.name, best, placed.status, why)


def is_being_checked(entry: EntryState) -> bool:
    return any(turn.disputed for turn in entry.turns)
