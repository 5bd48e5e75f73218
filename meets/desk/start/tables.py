import django_tables2 as tables
from django.utils.html import format_html
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from meets.desk.start.reads import FlightLine

CENTRE = {"td": {"class": "figures"}, "th": {"class": "figures"}}


class FlightTable(tables.Table):
    """One flight as drawn."""

    order = tables.Column(verbose_name=_("Order"), attrs=CENTRE)
    bib = tables.Column(accessor="person__bib", verbose_name=_("Bib"))
    name = tables.Column(accessor="person__name", verbose_name=_("Name"), attrs={"td": {"class": "lead"}})
    school = tables.Column(accessor="person__school", verbose_name=_("School"))
    year_group = tables.Column(accessor="person__year_group", verbose_name=_("Year"))
    board = tables.Column(verbose_name=_("Board"), default="")

    class Meta:
        orderable = False
        attrs = {"class": "narrow"}

    def render_bib(self, value: str) -> str:
        return format_html('<span class="bib">{}</span>', value)

    def render_name(self, record: FlightLine) -> str:
        person = record.person
        extra = " ".join(part for part in (person.string, gettext("guest") if person.guest else "") if part)
        return format_html('{} <span class="quiet">{}</span>', person.name, extra) if extra else person.name
