"""What the pages of a meet's settings show: the rule sets and age schemes to choose from."""

from dataclasses import dataclass
from datetime import date
from zoneinfo import available_timezones

from django.conf import settings
from django.db.models import Count, QuerySet
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from meets.field.disk import disk_alarm
from meets.models import Delivery, Entry, LogRow, Meet, Penalty, PitSession
from meets.sheets.wording import format_in_words, rule_value_in_words
from scoring import rulesets
from scoring.age_schemes import SCHEMES
from scoring.ages import deciding_date
from scoring.marks import Unit

AREAS = ("Africa", "America", "Asia", "Atlantic", "Australia", "Europe", "Indian", "Pacific")


@dataclass(frozen=True)
class Choice:
    key: str
    name: str
    says: str
    source: str = ""


def rule_set_choices() -> list[Choice]:
    return [Choice(s.name, _(s.title), format_sentence(s)) for s in rulesets.RULE_SETS.values()]


def format_sentence(rules: rulesets.RuleSet, unit: Unit = Unit.CM) -> str:
    """How many trials there are and who goes on, as a sentence."""
    return capfirst(format_in_words(rules, unit)) + "."


def age_scheme_choices() -> list[Choice]:
    return [
        Choice(s.key, _(s.name), _("Groups %(groups)s.") % {"groups": ", ".join(g.key for g in s.groups)}, s.source)
        for s in SCHEMES.values()
    ]


def time_zone_choices() -> list[tuple[str, list[tuple[str, str]]]]:
    """Time zones by area, as people look for them."""
    zones: dict[str, list[tuple[str, str]]] = {area: [] for area in AREAS}
    for zone in sorted(available_timezones()):
        area, _slash, place = zone.partition("/")
        if place and area in zones:
            zones[area].append((zone, place.replace("_", " ")))
    return [*zones.items(), (_("Others"), [("UTC", "UTC")])]


def age_date_of(meet: Meet) -> date:
    """The day on which ages are taken: the meet's own, else the one that the age scheme gives."""
    return meet.age_date or deciding_date(SCHEMES[meet.age_scheme], meet.date)


@dataclass(frozen=True)
class Settings:
    """A meet's settings in words, in pairs of what and how."""

    pairs: tuple[tuple[str, str], ...]
    rule_changes: tuple[tuple[str, str, str], ...]


def settings_of(meet: Meet) -> Settings:
    base = rulesets.RULE_SETS[meet.rule_set]
    scheme = SCHEMES[meet.age_scheme]
    pairs = [
        (_("Date"), date_format(meet.date, "l j F Y")),
        (_("Venue"), meet.venue or _("not given")),
        (_("Time zone"), meet.time_zone.replace("_", " ")),
        (_("Entries close"), _local(meet)),
        (_("Unit"), meet.get_unit_display()),
        (_("Rule set"), f"{_(base.title)}: {format_sentence(base)}"),
        (_("Age groups"), f"{_(scheme.name)}: {', '.join(group.key for group in scheme.groups)}"),
        (_("Ages are taken on"), date_format(age_date_of(meet), "j F Y")),
        (_("Paper"), meet.get_paper_display()),
        (_("Schools in the match"), str(meet.schools_in_match or _("as many as send somebody"))),
    ]
    known = {rule.name: rule for rule in rulesets.rules()}
    changes = tuple(
        (
            _(known[name].says),
            rule_value_in_words(name, written),
            rule_value_in_words(name, rulesets.to_written(name, getattr(base, name))),
        )
        for name, written in meet.rule_changes.items()
    )
    return Settings(tuple(pairs), changes)


def _local(meet: Meet) -> str:
    if meet.entry_deadline is None:
        return _("no deadline")
    return date_format(timezone.localtime(meet.entry_deadline), "j F Y, H:i")


def is_held(name: str, on: date, *, but: Meet) -> bool:
    """Whether another meet has this name on this day."""
    return Meet.objects.filter(name__iexact=name, date=on).exclude(pk=but.pk).exists()


@dataclass(frozen=True)
class Removal:
    """What would go with a meet; `why_not` says why it stays, if it does."""

    goes: tuple[str, ...]
    why_not: str


def removal_of(meet: Meet) -> Removal:
    events, pits = meet.events.count(), meet.pits.count()
    entries = Entry.objects.filter(event__meet=meet).count()
    sessions = PitSession.objects.filter(pit__meet=meet).count()
    penalties = Penalty.kept.filter(meet=meet).count()
    goes = (
        ngettext("%(count)d event", "%(count)d events", events) % {"count": events},
        ngettext("%(count)d entry", "%(count)d entries", entries) % {"count": entries},
        ngettext("%(count)d pit", "%(count)d pits", pits) % {"count": pits},
        ngettext("%(count)d session", "%(count)d sessions", sessions) % {"count": sessions},
        ngettext("%(count)d penalty", "%(count)d penalties", penalties) % {"count": penalties},
    )
    rows = LogRow.objects.filter(event__meet=meet).count()
    in_log = ngettext(
        "%(count)d row is in the log of its events: what was recorded is never deleted.",
        "%(count)d rows are in the log of its events: what was recorded is never deleted.",
        rows,
    )
    if not rows and Delivery.objects.filter(stream__device__meet=meet).exists():
        return Removal(goes, _("Phones have delivered something for it: what was recorded is never deleted."))
    return Removal(goes, in_log % {"count": rows} if rows else "")


def has_trials(meet: Meet) -> bool:
    """Whether somebody has jumped: what marks mean cannot change any more."""
    return LogRow.objects.filter(event__meet=meet, kind="jumped").exists()


def has_seeds(meet: Meet) -> bool:
    return Entry.objects.filter(event__meet=meet, seed_mark__isnull=False).exists()


def has_standards(meet: Meet) -> bool:
    return meet.standards.exists()


def events_without_group(meet: Meet, scheme_key: str) -> list[str]:
    """Names of the events whose age group the scheme does not have."""
    groups = {group.key for group in SCHEMES[scheme_key].groups}
    return [event.name for event in meet.events.all() if event.age_group not in groups]


def meets_list() -> QuerySet[Meet]:
    return Meet.objects.annotate(
        event_count=Count("events", distinct=True), entry_count=Count("events__entries", distinct=True)
    )


@dataclass(frozen=True)
class ToSetUp:
    """A part of the set-up: whether it is done, what it is, and the name of its page."""

    done: bool
    says: str
    page: str


def still_to_set_up(meet: Meet) -> list[ToSetUp]:
    """The way from a new meet to its first jump; empty once every part is done."""
    events = meet.events.count()
    pits = meet.pits.count()
    loose = meet.events.filter(session_parts__isnull=True).count()
    entries = Entry.objects.filter(event__meet=meet).count()
    steps = [
        ToSetUp(bool(events), _("Add the events."), "desk:add_events"),
        ToSetUp(bool(pits), _("Add the pits, with boards and sand."), "desk:new_pit"),
        ToSetUp(bool(entries), _("Enter the athletes, from a file or one by one."), "entries:list"),
        ToSetUp(bool(events and pits and not loose), _("Put every event into a session at a pit."), "desk:pits"),
    ]
    return [] if all(step.done for step in steps) else steps


def disk_says() -> str:
    """A sentence when the disk of this computer is nearly full, '' else, and where nothing is kept on it."""
    return disk_alarm() if settings.DATA_DIR.is_dir() else ""
