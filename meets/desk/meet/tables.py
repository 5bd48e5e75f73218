import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext_lazy as _


class MeetsTable(tables.Table):
    date = tables.DateColumn(format="j M Y", verbose_name=_("Date"), attrs={"td": {"class": "nowrap"}})
    name = tables.Column(verbose_name=_("Meet"), attrs={"td": {"class": "lead"}})
    venue = tables.Column(verbose_name=_("Venue"), default="")
    event_count = tables.Column(
        verbose_name=_("Events"), attrs={"td": {"class": "figures"}, "th": {"class": "figures"}}
    )
    entry_count = tables.Column(
        verbose_name=_("Entries"), attrs={"td": {"class": "figures"}, "th": {"class": "figures"}}
    )

    class Meta:
        attrs = {"class": "stack"}
        orderable = False

    def render_name(self, record):
        return format_html('<a class="row" href="{}">{}</a>', reverse("desk:meet", args=[record.slug]), record.name)
