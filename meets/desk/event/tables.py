import django_tables2 as tables
from django.template.defaultfilters import capfirst
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html, format_html_join
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from meets.desk.event.log_reads import LogLine
from meets.desk.event.reads import EventPage
from meets.desk.event.series import SeriesLine

FIGURES = {"td": {"class": "figures"}, "th": {"class": "figures"}}
ROUND = {"td": {"class": "figures round"}, "th": {"class": "figures"}}


class SeriesTable(tables.Table):
    """The series of an event in the order of the places, each place with its reason in words."""

    rank = tables.Column(verbose_name=_("Place"), empty_values=(), attrs={"td": {"class": "place"}})
    bib = tables.Column(accessor="person__bib", verbose_name=_("Bib"), attrs={"td": {"class": "sign"}})
    who = tables.Column(empty_values=(), verbose_name=_("Name and school"), attrs={"td": {"class": "who"}})
    best = tables.Column(
        empty_values=(), verbose_name=_("Best"), attrs={"td": {"class": "figures best-col"}, "th": {"class": "figures"}}
    )
    points = tables.Column(
        verbose_name=_("Points"), default="", attrs={"td": {"class": "figures points-col"}, "th": {"class": "figures"}}
    )
    why = tables.Column(empty_values=(), verbose_name=_("Why this place"), attrs={"td": {"class": "why"}})

    class Meta:
        orderable = False
        attrs = {"class": "series results"}
        empty_text = _("No trial yet.")
        row_attrs = {"class": lambda record: "now" if record.is_up else "out" if record.goes_on is False else ""}

    def __init__(self, page: EventPage, *args, meet_slug: str, **kwargs):
        rounds = [(f"round_{n}", RoundColumn(n)) for n in page.rounds]
        order = ("rank", "bib", "who", *(name for name, _column in rounds), "best", "points", "why")
        hidden = () if any(line.points for line in page.lines) else ("points",)
        super().__init__(page.lines, *args, extra_columns=rounds, sequence=order, exclude=hidden, **kwargs)
        self.shown, self.meet_slug = page, meet_slug

    def render_rank(self, record: SeriesLine) -> str:
        return record.rank or record.status

    def render_bib(self, value: str) -> str:
        return format_html('<span class="bib">{}</span>', value)

    def render_who(self, record: SeriesLine) -> str:
        address = reverse("desk:athlete", args=[self.meet_slug, self.shown.event.pk, record.entry])
        return render_to_string("desk/_who.html", {"line": record, "person": record.person, "address": address})

    def render_best(self, record: SeriesLine) -> str:
        return render_to_string("desk/_best.html", {"line": record})

    def render_why(self, record: SeriesLine) -> str:
        notes = [
            (gettext("Trial %(n)d: %(notes)s.") % {"n": n, "notes": ", ".join(cell.notes)},)
            for n, cell in enumerate(record.cells, 1)
            if cell.notes
        ]
        said = format_html_join("", '<span class="why-note">* {}</span>', notes)
        return format_html("{} {}", " ".join(record.why), said)


class RoundColumn(tables.Column):
    """One round of the series: the mark over its wind; a link to the trial."""

    def __init__(self, number: int):
        super().__init__(empty_values=(), verbose_name=_("Trial %d") % number, attrs=ROUND)
        self.number = number

    def render(self, record: SeriesLine, table: SeriesTable) -> str:
        cell = record.cells[self.number - 1]
        if cell.turn is None:
            return ""
        address = reverse("desk:turn", args=[table.meet_slug, table.shown.event.pk, *cell.turn])
        return render_to_string("desk/_cell.html", {"cell": cell, "address": address})


class LogTable(tables.Table):
    """The log, line by line; what no longer stands is struck through, with the reason."""

    rev = tables.Column(verbose_name=_("Row"), attrs=FIGURES)
    at = tables.Column(verbose_name=_("When"), attrs={"td": {"class": "nowrap"}})
    says = tables.Column(verbose_name=_("What"), empty_values=(), attrs={"td": {"class": "lead"}})
    reason = tables.Column(verbose_name=_("Why"), default="")
    by = tables.Column(verbose_name=_("Who"))
    recorder = tables.Column(verbose_name=_("Record"))
    back = tables.Column(verbose_name=_("Undo"), empty_values=(), attrs={"td": {"class": "no-print"}})

    class Meta:
        orderable = False
        attrs = {"class": "stack"}
        row_attrs = {"id": lambda record: f"row-{record.rev}"}

    def __init__(self, *args, meet_slug: str, event_id: int, **kwargs):
        super().__init__(*args, **kwargs)
        self.meet_slug, self.event_id = meet_slug, event_id

    def render_at(self, value) -> str:
        return f"{timezone.localtime(value):%H:%M:%S}"

    def render_says(self, record: LogLine) -> str:
        said = capfirst(record.says)
        if record.replaced_by:
            said = format_html("<s>{}</s> {}", said, _rows(gettext("no longer stands, see row"), record.replaced_by))
        elif record.replaces:
            said = format_html("{} {}", said, _rows(gettext("in place of row"), record.replaces))
        return said

    def render_back(self, record: LogLine) -> str:
        if record.replaced_by:
            return ""
        address = reverse("desk:decide", args=[self.meet_slug, self.event_id, "take-back"])
        return format_html('<a href="{}?row={}">{}</a>', address, record.id, gettext("Take back"))


def _rows(words: str, revs: tuple[int, ...]) -> str:
    links = format_html_join(", ", '<a href="#row-{}">{}</a>', ((rev, rev) for rev in revs))
    return format_html('<span class="quiet small">({} {})</span>', words, links)
