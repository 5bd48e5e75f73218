import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from meets.entries.values import with_minus
from meets.running.team_points import PointsLine, SchoolStanding, Standings

TOTAL = {"td": {"class": "figures total"}, "th": {"class": "figures"}}
FIGURES = {"td": {"class": "figures"}, "th": {"class": "figures"}}


class StandingsTable(tables.Table):
    """Schools in order of their points, with a column for each event."""

    place = tables.Column(verbose_name=_("Place"), attrs={"td": {"class": "place"}})
    name = tables.Column(verbose_name=_("School"), attrs={"td": {"class": "lead nowrap"}})
    points = tables.Column(
        verbose_name=_("Points"), attrs={"td": {"class": "figures total"}, "th": {"class": "figures"}}
    )

    class Meta:
        orderable = False
        attrs = {"class": "standings"}

    def __init__(self, standings: Standings, *args, meet_slug: str, **kwargs):
        events = [(f"event_{pk}", EventColumn(pk, name, meet_slug)) for pk, name in standings.events]
        order = ("place", "name", "points", *(key for key, _column in events))
        super().__init__(standings.schools, *args, extra_columns=events, sequence=order, **kwargs)

    def render_points(self, value: str) -> str:
        return with_minus(value)

    def render_place(self, record: SchoolStanding) -> str:
        shared = sum(row.place == record.place for row in self.data) > 1
        return f"{record.place}{'=' if shared else ''}"

    def render_name(self, record: SchoolStanding) -> str:
        return format_html('<a href="#school-{}">{}</a>', record.code, record.name)


class EventColumn(tables.Column):
    """A school's points in one event."""

    def __init__(self, pk: int, name: str, meet_slug: str):
        super().__init__(empty_values=(), verbose_name=name, attrs=FIGURES)
        self.pk, self.name, self.meet_slug = pk, name, meet_slug

    @property
    def header(self) -> str:
        return format_html('<a href="{}">{}</a>', reverse("desk:event", args=[self.meet_slug, self.pk]), self.name)

    def render(self, record: SchoolStanding) -> str:
        return record.by_event.get(self.pk, "")


class LinesTable(tables.Table):
    """What one school's points are made of."""

    event = tables.Column(verbose_name=_("Event"), empty_values=(), attrs={"td": {"class": "lead"}})
    name = tables.Column(verbose_name=_("Athlete"), empty_values=())
    place = tables.Column(verbose_name=_("Counts as"), empty_values=())
    points = tables.Column(verbose_name=_("Points"), attrs=FIGURES)

    class Meta:
        orderable = False
        attrs = {"class": "narrow"}

    def render_points(self, value: str) -> str:
        return with_minus(value)

    def render_event(self, record: PointsLine) -> str:
        return record.event or gettext("Penalty")

    def render_name(self, record: PointsLine) -> str:
        if record.event_id is None:
            return record.reason
        return format_html('<span class="bib">{}</span> {}', record.bib, record.name)

    def render_place(self, record: PointsLine) -> str:
        if record.place is None:
            return ""
        table = gettext(", %(table)s strings") % {"table": record.table} if record.table else ""
        return f"{record.place}{table}"
