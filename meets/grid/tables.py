import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as lazy

FIGURES = {"td": {"class": "figures"}, "th": {"class": "figures"}}
STAGES = {
    "once": lazy("typed once, waits for the second typing"),
    "differs": lazy("two typings differ"),
    "agreed": lazy("agreed, not in the log yet"),
    "stored": lazy("in the log"),
}


class EventsTable(tables.Table):
    """Events of the meet with the sheets that were typed for each."""

    event = tables.Column(verbose_name=lazy("Event"), attrs={"td": {"class": "lead"}})
    entries = tables.Column(verbose_name=lazy("Entries"), attrs=FIGURES)
    sheets = tables.Column(verbose_name=lazy("Typed sheets"), empty_values=(), orderable=False)

    class Meta:
        attrs = {"class": "stack"}
        orderable = False
        empty_text = lazy("No events yet.")

    def __init__(self, *args, meet, **kwargs):
        super().__init__(*args, **kwargs)
        self._meet = meet

    def render_event(self, record):
        address = reverse("grid:event", args=[self._meet.slug, record.event_id])
        return format_html('<a class="row" href="{}">{}</a>', address, record.event)

    def render_sheets(self, record):
        if not record.sheets:
            return _("none") if not record.begun else _("none; trials are recorded at the pit")
        return format_html_join(
            mark_safe("<br>"),
            '<a href="{}">{}</a>: {}',
            (
                (reverse("grid:sheet", args=[self._meet.slug, s.sheet_id]), s.typed_by, STAGES[s.stage])
                for s in record.sheets
            ),
        )
