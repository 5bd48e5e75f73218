"""Rules and values in the words of a sheet."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as lazy
from django.utils.translation import ngettext

from meets.entries.values import wind_words
from meets.records.reads import RecordLine
from meets.running.words import year_words
from scoring.log import Standing
from scoring.marks import Unit, show_mark
from scoring.rulesets import RuleSet
from scoring.rulesets import rules as rule_fields
from scoring.wind import Wind


def clock(moment: datetime | None, zone: str) -> str:
    """A time of day at the meet, empty if there is none."""
    return date_format(localtime(moment, ZoneInfo(zone)), "H:i") if moment else ""


def full_date(day: date) -> str:
    return date_format(day, "l j F Y")


def printed_at(now: datetime, zone: str) -> str:
    """The note on every sheet of when it was printed."""
    return _("printed %(when)s") % {"when": date_format(localtime(now, ZoneInfo(zone)), "j F Y, H:i")}


def seed_note(tenths: int | None, day: date | None) -> str:
    """Wind and date of a seed mark."""
    wind = wind_words(Wind(tenths)) if tenths is not None else ""
    return ", ".join(part for part in (wind, date_format(day, "j M Y") if day else "") if part)


def format_in_words(rules: RuleSet, unit: Unit = Unit.CM) -> str:
    """How many trials there are and who goes on: `3 trials, best 8 get 3 more`."""
    if rules.call == "open pit":
        return _open_pit(rules)
    stops = [after for after, _many in rules.cuts] + [rules.rounds]
    parts = [ngettext("%(count)d trial", "%(count)d trials", stops[0]) % {"count": stops[0]}]
    for (after, many), until in zip(rules.cuts, stops[1:], strict=True):
        parts.append(_("best %(many)d get %(more)d more") % {"many": many, "more": until - after})
    if rules.cuts:
        most = rules.cuts[0][1]
        parts[-1] += "; " + ngettext(
            "with %(most)d starter or fewer all take %(rounds)d",
            "with %(most)d starters or fewer all take %(rounds)d",
            most,
        ) % {"most": most, "rounds": rules.rounds}
    if rules.standard:
        mark = show_mark(rules.standard, unit)
        parts.append(_("%(mark)s qualifies (Q) and ends an athlete's trials") % {"mark": mark})
    if rules.qualify:
        parts.append(_("filled up to %(count)d (q)") % {"count": rules.qualify})
    return ", ".join(parts)


CHOICES = {
    "yes": lazy("yes"),
    "no": lazy("no"),
    "-": lazy("- (pass)"),
    "x": lazy("x (failed)"),
    "lot": lazy("by lot"),
    "seeded": lazy("by seed mark, the best flight last"),
    "by-board": lazy("by board"),
    "school-rotation": lazy("schools in turn"),
    "reverse ranking": lazy("the best last"),
    "as drawn": lazy("as drawn"),
    "rounds": lazy("round by round in order"),
    "open pit": lazy("an open pit, in no order"),
    "plane": lazy("breaking its plane"),
    "mark left": lazy("a mark left beyond it"),
    "shared": lazy("the place is shared"),
    "extra trials": lazy("extra trials"),
    "take up a place": lazy("takes up a place without points"),
    "are skipped": lazy("is skipped, those below move up"),
    "stay equal": lazy("they stay equal"),
    "most firsts": lazy("most first places, then seconds"),
    "none": lazy("none"),
    "men": lazy("the men's table"),
    "women": lazy("the women's table"),
}


def choice_in_words(choice: str) -> str:
    """A choice that a rule offers, as people say it: `schools in turn`."""
    return str(CHOICES.get(choice, choice))


def rule_value_in_words(name: str, written: str) -> str:
    """The value of a rule as people say it; an empty one is none."""
    rule = next((rule for rule in rule_fields() if rule.name == name), None)
    has_choices = rule is not None and (rule.choices or isinstance(rule.default, bool))
    return (choice_in_words(written) if has_choices else written) or _("none")


def as_of(log: Standing, zone: str) -> str:
    """Which state of the log a sheet shows: `as of 14:32, after 94 rows of the log`."""
    if not log.rows:
        return _("nothing recorded yet")
    rows = ngettext("after %(count)d row of the log", "after %(count)d rows of the log", len(log.rows))
    words = rows % {"count": len(log.rows)}
    first, last = (row.at and localtime(row.at, ZoneInfo(zone)) for row in (log.rows[0], log.rows[-1]))
    if last is None:
        return words
    when = date_format(last, "H:i" if first and first.date() == last.date() else "j F, H:i")
    return _("as of %(when)s, %(rows)s") % {"when": when, "rows": words}


def _open_pit(rules: RuleSet) -> str:
    words = ngettext(
        "Open pit: %(count)d trial, taken when the athlete likes, in no order",
        "Open pit: %(count)d trials, taken when the athlete likes, in no order",
        rules.rounds,
    ) % {"count": rules.rounds}
    if not rules.open_pit_minutes:
        return words
    return ngettext(
        "%(words)s, within %(minutes)d minute", "%(words)s, within %(minutes)d minutes", rules.open_pit_minutes
    ) % {"words": words, "minutes": rules.open_pit_minutes}


def first_rounds(rules: RuleSet) -> tuple[int, ...]:
    """The rounds that are jumped in the order of the start list."""
    ends = [after for after, _many in rules.cuts] + [round - 1 for round in rules.reorder_before]
    return tuple(range(1, min([*ends, rules.rounds]) + 1))


def later_rounds(rules: RuleSet) -> tuple[int, ...]:
    """The rounds after the first cut or new order."""
    return tuple(range(len(first_rounds(rules)) + 1, rules.rounds + 1))


def record_words(record: RecordLine) -> str:
    """A record in one line: `district record 5.40 +0.6, Edda Hobbeck, Mirefold High, 2019`."""
    mark = " ".join(part for part in (record.level, record.shown, record.wind) if part)
    return ", ".join(part for part in (mark, record.holder, record.school, record.year) if part)


def who(school: str, string: str, year_group: str) -> str:
    """Where an athlete belongs, in one line: `Marrowdale Academy · B · year 9`."""
    return " · ".join(part for part in (school, string, year_words(year_group)) if part)


def roles() -> tuple[str, ...]:
    """Who signs a field sheet and a result."""
    return (_("referee"), _("take-off judge"), _("measurer"), _("recorder"), _("gauge operator"))
