import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from meets.desk.addresses import address_of
from meets.desk.meet.overview import EventLine
from meets.models import Meet

FIGURES = {"td": {"class": "figures"}, "th": {"class": "figures"}}


class MeetsTable(tables.Table):
    date = tables.DateColumn(format="j M Y", verbose_name=_("Date"), attrs={"td": {"class": "nowrap"}})
    name = tables.Column(verbose_name=_("Meet"), attrs={"td": {"class": "lead"}})
    venue = tables.Column(verbose_name=_("Venue"), default="")
    event_count = tables.Column(verbose_name=_("Events"), attrs=FIGURES)
    entry_count = tables.Column(verbose_name=_("Entries"), attrs=FIGURES)

    class Meta:
        attrs = {"class": "stack"}
        orderable = False

    def render_name(self, record):
        return format_html('<a class="row" href="{}">{}</a>', reverse("desk:meet", args=[record.slug]), record.name)


class OverviewTable(tables.Table):
    """Every event with its stage and what is next to do; the button leads there."""

    starts_at = tables.DateTimeColumn(format="H:i", verbose_name=_("Start"), default="")
    name = tables.Column(accessor="event__name", verbose_name=_("Event"), attrs={"td": {"class": "lead"}})
    pits = tables.Column(empty_values=(), verbose_name=_("Where"))
    entered = tables.Column(verbose_name=_("Entered"), attrs=FIGURES)
    step = tables.Column(verbose_name=_("Next to do"))
    go = tables.Column(empty_values=(), verbose_name=_("Go there"), attrs={"td": {"class": "no-print"}})

    class Meta:
        attrs = {"class": "stack overview"}
        orderable = False

    def __init__(self, *args, meet: Meet, **kwargs):
        super().__init__(*args, **kwargs)
        self.meet = meet

    def render_name(self, record: EventLine) -> str:
        address = reverse("desk:event", args=[self.meet.slug, record.event.pk])
        return format_html('<a class="row" href="{}">{}</a>', address, record.event.name)

    def render_pits(self, record: EventLine) -> str:
        where = ", ".join(record.pits) or gettext("no session yet")
        if record.session_id is None:
            return where
        address = reverse("desk:session", args=[self.meet.slug, record.session_id])
        return format_html('<a href="{}" title="{}">{}</a>', address, gettext("The session at this pit"), where)

    def render_step(self, record: EventLine) -> str:
        says = record.step.says
        if record.alarms:
            said = ngettext("%(count)d alarm.", "%(count)d alarms.", record.alarms) % {"count": record.alarms}
            says = format_html('<strong class="alarm-word">▲ {}</strong> {}', said, says)
        return format_html("{} {}", says, self._published(record)) if record.published else says

    def _published(self, record: EventLine) -> str:
        where = [self.meet.slug, record.event.pk]
        return format_html(
            '<span class="where-published small no-print"><a href="{}">{}</a> · <a href="{}">{}</a></span>',
            reverse("results:event", args=where), gettext("Public result"),
            reverse("publishing:event", args=where), gettext("Versions"),
        )  # fmt: skip

    def render_go(self, record: EventLine) -> str:
        address = address_of(record.step, record.event, self.meet.slug, record.session_id)
        main = " main" if record.step.urgent else ""
        return format_html(
            '<a id="go-{}" class="button small{}" href="{}">{}</a>', record.event.pk, main, address, record.step.doing
        )
