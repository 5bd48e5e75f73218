import django_tables2 as tables
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html, format_html_join
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from meets.sheets.printing import KINDS
from meets.sheets.reads import EventSheets


class SheetsTable(tables.Table):
    """Events with links to what can be printed of each."""

    starts_at = tables.Column(verbose_name=_("Start"), default="")
    name = tables.Column(verbose_name=_("Event"), attrs={"td": {"class": "lead"}})
    before = tables.Column(verbose_name=_("Before and at the pit"), empty_values=())
    result = tables.Column(verbose_name=_("Afterwards"), empty_values=())

    class Meta:
        orderable = False
        attrs = {"class": "stack"}

    def __init__(self, *args, meet, posted, **kwargs):
        super().__init__(*args, **kwargs)
        self.meet, self.posted = meet, posted

    def render_starts_at(self, value) -> str:
        return f"{timezone.localtime(value):%H:%M}"

    def render_name(self, record: EventSheets):
        entries = ngettext("%(count)d entry", "%(count)d entries", record.entries) % {"count": record.entries}
        drawn = "" if record.drawn else _("not drawn yet")
        state = " · ".join(str(part) for part in (entries, drawn) if part)
        return format_html(
            '<a href="{}">{}</a><br><span class="quiet small">{}</span>',
            reverse("desk:event", args=[self.meet.slug, record.event_id]),
            record.name,
            state,
        )

    def render_before(self, record: EventSheets):
        links = [(self._address(record, key), kind.title) for key, kind in KINDS.items() if not kind.is_result]
        return format_html(
            '<ul class="print-links">{}</ul>', format_html_join("", '<li><a href="{}">{}</a></li>', links)
        )

    def render_result(self, record: EventSheets):
        if not record.begun:
            return format_html('<span class="quiet">{}</span>', _("nobody has jumped yet"))
        return format_html(
            '<div><form class="print-result" method="get" action="{}"><label for="posted-{}">{}</label> '
            '<input id="posted-{}" type="time" name="posted" value="{}"> <button class="small">{}</button></form>'
            '<a href="{}">{}</a></div>',
            self._address(record, "result"),
            record.event_id,
            _("Result, posted at"),
            record.event_id,
            self.posted,
            _("Open"),
            reverse("sheets:csv", args=[self.meet.slug, record.event_id]),
            _("Result as a table (CSV)"),
        )

    def _address(self, record: EventSheets, kind: str) -> str:
        return reverse("sheets:sheet", args=[self.meet.slug, record.event_id, kind])
