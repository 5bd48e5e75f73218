"""The sentences below a result: what decided ties, what was unusual, what is known of the wind."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from meets.running.words import say
from meets.sheets.reads import Known
from meets.sheets.wording import rule_value_in_words
from scoring.cut import TrialsProposal
from scoring.explain import LOSES, SHARES, explain_place, explain_trials
from scoring.facts import Abandoned, RuleChanged, Shortened, TrialsConfirmed
from scoring.log import Turn
from scoring.rulesets import rules as rule_fields
from scoring.state import Stage
from scoring.wind import NWI


def tie_notes(known: Known) -> tuple[str, ...]:
    """One sentence for everybody with an equal best who is behind another, and one for each shared place."""
    notes = []
    said: set[tuple[str, ...]] = set()
    for placed in known.state.places:
        for sentence in explain_place(placed, lambda entry: known.people[entry].bib, known.unit):
            first = sentence.message == SHARES and placed.level not in said
            if sentence.message == LOSES or first:
                notes.append(_("Bib %(bib)s: %(why)s") % {"bib": known.people[placed.entry].bib, "why": say(sentence)})
        said.add(placed.level)
    return tuple(notes)


def remarks(known: Known) -> tuple[str, ...]:
    """How the event differed from its plan, who was disqualified, what is still open."""
    return (*_how_it_went(known), *_people(known), *_open(known), *_records(known))


def _how_it_went(known: Known) -> Iterator[str]:
    log, state = known.log, known.state
    for row, fact in log.of(RuleChanged)[-3:]:
        says = _(next(rule.says for rule in rule_fields() if rule.name == fact.field))
        yield _because(
            _("Changed for this event: %(rule)s Now: %(value)s")
            % {"rule": says, "value": rule_value_in_words(fact.field, fact.value)},
            row.reason,
        )
    confirmed = log.last(TrialsConfirmed)
    if confirmed and not confirmed.with_cut and state.rules.cuts:
        after, limit = state.rules.cuts[0]
        proposal = TrialsProposal(confirmed.starters, limit, confirmed.rounds, with_cut=False)
        yield say(explain_trials(proposal, cut_after=after))
    for row, fact in log.of(Shortened)[-1:]:
        yield _because(
            _("Shortened by the referee, for all alike: decided on rounds 1 to %(round)d") % {"round": fact.last_round},
            row.reason,
        )
    for row, fact in log.of(Abandoned)[-1:]:
        words = (
            _("Abandoned: decided on rounds 1 to %(round)d") % {"round": fact.rounds_counted}
            if fact.rounds_counted
            else _("Abandoned: no result, no points")
        )
        yield _because(words, row.reason)
    if state.stage is Stage.SUSPENDED:
        yield _because(_("Suspended"), state.suspended_reason)


def _people(known: Known) -> Iterator[str]:
    for entry in known.state.entries:
        bib = known.people[entry.line.entry].bib
        if entry.status == "DQ":
            yield _because(_("Bib %(bib)s disqualified") % {"bib": bib}, entry.status_reason)
        if entry.pending:
            yield _("Bib %(bib)s was added at the pit and counts once the desk has confirmed it.") % {"bib": bib}


def _open(known: Known) -> Iterator[str]:
    for protest in known.state.protests:
        about = known.people[protest.entry].bib if protest.entry in known.people else ""
        words = {
            None: _("Open protest"),
            True: _("Protest upheld"),
            False: _("Protest not upheld"),
        }[protest.upheld]
        if protest.appeal is not None:
            jury = _("decided by the jury") if protest.appeal.decided else _("an appeal to the jury is open")
            words = f"{words} ({jury})"
        turn = [_("bib %(bib)s") % {"bib": about}] if about else []
        turn += [_("round %(round)d") % {"round": protest.round}] if protest.round else []
        yield ": ".join(part for part in (words, ", ".join(turn)) if part) + "."
    if known.state.disputes:
        turns = _turns(known, known.state.disputes)
        yield _("Two records differ and are not settled: %(turns)s.") % {"turns": turns}


def _records(known: Known) -> Iterator[str]:
    """Marks that beat or equal a record, and why others that are long enough do not."""
    for placed in known.state.places:
        bib, own = known.people[placed.entry].bib, known.honours[placed.entry]
        for hit in own.records:
            words = _("Bib %(bib)s, %(mark)s: %(record)s.")
            yield words % {"bib": bib, "mark": hit.shown, "record": hit.says}
        for says in own.not_records:
            yield _("Bib %(bib)s: %(says)s") % {"bib": bib, "says": says}


def wind_note(known: Known) -> str:
    """What is not known of the wind: declared missing, or still owed."""
    taken = [turn.trial for entry in known.state.entries for turn in entry.turns if turn.trial and turn.counts]
    jumped = [trial for trial in taken if trial.taken]
    missing = sum(trial.wind == NWI for trial in jumped)
    notes = []
    if missing and all(trial.wind == NWI for trial in jumped if trial.mark is not None):
        notes.append(_("No wind information (NWI) for this event."))
    elif missing:
        notes.append(
            ngettext(
                "%(count)d trial has no wind information (NWI).",
                "%(count)d trials have no wind information (NWI).",
                missing,
            )
            % {"count": missing}
        )
    if known.state.owed_winds:
        turns = _turns(known, known.state.owed_winds)
        notes.append(_("Wind still to come: %(turns)s.") % {"turns": turns})
    return " ".join(notes)


def _turns(known: Known, turns: Sequence[Turn]) -> str:
    """Turns in words; many are counted."""
    most = 8
    named = [
        _("bib %(bib)s round %(round)d") % {"bib": known.people[turn.entry].bib, "round": turn.round}
        for turn in turns[:most]
        if turn.entry in known.people
    ]
    more = len(turns) - most
    if more > 0:
        named.append(ngettext("%(count)d more", "%(count)d more", more) % {"count": more})
    return ", ".join(named)


def _because(words: str, reason: str) -> str:
    return f"{words}: {reason}." if reason else f"{words}."
