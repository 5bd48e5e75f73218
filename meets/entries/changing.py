"""Changes to one entry that is stored: its details, the athlete's, withdrawn and restored."""

from __future__ import annotations

import logging
from collections.abc import Mapping
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from athletes.models import Athlete
from meets.entries import eligible, limits
from meets.entries.bibs import wearer_of
from meets.entries.known import Known, KnownEvent, known_of
from meets.entries.outcome import Weight
from meets.entries.refused import Refused
from meets.entries.values import show_board
from meets.models import Entry, LogRow, Meet
from scoring.facts import Jumped, kind_of
from scoring.marks import mark_in_cm
from scoring.trials import Result

log = logging.getLogger(__name__)

CHANGEABLE = frozenset({"bib", "string", "guest", "klass", "seed_mark", "seed_wind_tenths", "seed_date", "board_cm"})
JUMPED = kind_of(Jumped("", 1, Result.PASS))


@transaction.atomic
def change_entry(*, entry: Entry, changes: Mapping[str, object], by: str, now: datetime) -> Entry:
    """Change details of an entry: the fields of `CHANGEABLE`. Raises ValidationError by field, nothing stored."""
    if unknown := set(changes) - CHANGEABLE:
        raise ValueError(f"not changed here: {', '.join(sorted(unknown))}")
    entry = _locked(entry)
    before = {name: getattr(entry, name) for name in changes}
    for name, value in changes.items():
        setattr(entry, name, value)
    if entry.guest:
        entry.string = ""
    known = known_of(entry.event.meet)
    event = known.events[entry.event_id]
    wrong: dict[str, str] = {}
    if entry.bib and (worn := wearer_of(entry.event, entry.bib, other_than=entry.athlete)) is not None:
        says = _("Bib %(bib)s is worn by %(name)s in %(event)s.")
        wrong["bib"] = says % {"bib": entry.bib, "name": worn.athlete, "event": worn.event}
    if (entry.string, entry.guest) != (before.get("string", entry.string), before.get("guest", entry.guest)):
        wrong.update(_string_against(entry, event, known))
    if entry.guest != before.get("guest", entry.guest) and LogRow.objects.filter(event=entry.event, kind=JUMPED):
        wrong["guest"] = _("Trials have been taken: a guest stays one, and nobody becomes one.")
    if entry.seed_mark is not None and mark_in_cm(entry.seed_mark, known.unit) > event.rules.longest_cm(event.triple):
        wrong["seed_mark"] = _("This is farther than anybody has jumped.")
    if entry.board_cm is not None and eligible.fitted_board(event, entry.board_cm) is None:
        boards = ", ".join(show_board(board, known.unit) for board in event.boards_cm)
        wrong["board_cm"] = _("This event has no such board; its boards are %(boards)s.") % {"boards": boards}
    if wrong:
        raise ValidationError(wrong)
    entry.board_cm = eligible.fitted_board(event, entry.board_cm)
    entry.full_clean(validate_unique=False, validate_constraints=False)
    entry.save()
    log.info("entry %s changed by %s: %s", entry.pk, by, ", ".join(sorted(changes)))
    return entry


def _string_against(entry: Entry, event: KnownEvent, known: Known) -> dict[str, str]:
    if entry.guest:
        return {}
    others = [other for other in known.entries if other.pk != entry.pk]
    said = limits.Strings(others).take(entry.athlete.school_id, event, entry.string, None)
    return {"string": said[:1].upper() + said[1:]} if said else {}


@transaction.atomic
def correct_athlete(*, athlete: Athlete, changes: Mapping[str, object], by: str, now: datetime) -> Athlete:
    """Correct what belongs to an athlete, for all entries: names and whether they are shown, birth date, school year.

    Raises ValidationError by field: also when a new birth date is too old for an event of a meet to come.
    """
    if unknown := set(changes) - {"first_name", "last_name", "born", "school_year", "say_it", "not_public"}:
        raise ValueError(f"not corrected here: {', '.join(sorted(unknown))}")
    athlete = Athlete.objects.select_for_update().get(pk=athlete.pk)
    for name, value in changes.items():
        setattr(athlete, name, value)
    athlete.full_clean()
    if athlete.born is not None and ("born" in changes or "school_year" in changes):
        to_come = Meet.objects.filter(date__gte=timezone.localdate(now), events__entries__athlete=athlete).distinct()
        for meet in to_come:
            known = known_of(meet)
            for entry in known.entries:
                if entry.athlete_pk != athlete.pk or entry.withdrawn:
                    continue
                event = known.events[entry.event_pk]
                said = eligible.age_against(meet, event, athlete.born, known.age_day, athlete.school_year)
                if refused := [says for weight, says in said if weight is Weight.REFUSAL]:
                    raise ValidationError({"born": f"{event.name}: {' '.join(refused)}"})
    athlete.save()
    log.info("athlete %s corrected by %s: %s", athlete.pk, by, ", ".join(sorted(changes)))
    return athlete


@transaction.atomic
def change_entry_and_athlete(
    *, entry: Entry, changes: Mapping[str, object], of_athlete: Mapping[str, object], by: str, now: datetime
) -> Entry:
    """Both at once, or neither. Raises ValidationError by field."""
    if of_athlete:
        correct_athlete(athlete=entry.athlete, changes=of_athlete, by=by, now=now)
    return change_entry(entry=entry, changes=changes, by=by, now=now)


@transaction.atomic
def withdraw_entry(*, entry: Entry, by: str, now: datetime) -> Entry:
    """Withdraw before the draw. Later it is a row of the event's log, and Refused is raised."""
    entry = _locked(entry)
    if LogRow.objects.filter(event=entry.event).exists():
        says = _("%(event)s has been drawn. Withdraw %(name)s on the event's page, so that its log says so.")
        raise Refused(says % {"event": entry.event, "name": entry.athlete})
    entry.status = Entry.Status.WITHDRAWN
    entry.save(update_fields=["status"])
    log.info("entry %s withdrawn by %s", entry.pk, by)
    return entry


@transaction.atomic
def restore_entry(*, entry: Entry, by: str, now: datetime) -> Entry:
    """Take a withdrawn entry back, if its string and the athlete's limits allow. Raises Refused."""
    entry = _locked(entry)
    if entry.status != Entry.Status.WITHDRAWN:
        return entry
    known = known_of(entry.event.meet)
    event = known.events[entry.event_id]
    standing = [other for other in known.entries if other.pk != entry.pk and not other.withdrawn]
    own = [known.events[other.event_pk] for other in standing if other.athlete_pk == entry.athlete_id]
    said = [limits.too_many_events(event, own), limits.two_age_groups(event, own)]
    if not entry.guest:
        said.append(limits.Strings(standing).take(entry.athlete.school_id, event, entry.string, None))
    if reasons := [says for says in said if says]:
        raise Refused(_("This entry cannot be restored: %(reasons)s") % {"reasons": " ".join(reasons)})
    if entry.bib and wearer_of(entry.event, entry.bib, other_than=entry.athlete) is not None:
        entry.bib = ""
    entry.status = Entry.Status.CONFIRMED
    entry.save(update_fields=["status", "bib"])
    log.info("entry %s restored by %s", entry.pk, by)
    return entry


def _locked(entry: Entry) -> Entry:
    Meet.objects.select_for_update().get(events=entry.event_id)
    return Entry.objects.select_related("event__meet", "athlete__school").get(pk=entry.pk)
