from collections.abc import Iterable

import django_tables2 as tables
from django.forms import BoundField
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext_lazy as _

from meets.desk.fields import boards_shown
from meets.desk.programme.forms import TimesForm
from meets.models import Event

FIGURES = {"td": {"class": "figures"}, "th": {"class": "figures"}}


class ProgrammeTable(tables.Table):
    """The events with their times to be typed; stands inside the form."""

    name = tables.Column(verbose_name=_("Event"), attrs={"td": {"class": "lead"}})
    report = tables.Column(verbose_name=_("Report"), empty_values=())
    start = tables.Column(verbose_name=_("Start"), empty_values=())
    pits = tables.Column(verbose_name=_("Where"), empty_values=())
    boards_cm = tables.Column(verbose_name=_("Boards, m"), empty_values=(), attrs={"td": {"class": "nowrap"}})
    rule_changes = tables.Column(verbose_name=_("Own rules"), empty_values=())
    entry_count = tables.Column(verbose_name=_("Entries"), attrs=FIGURES)

    class Meta:
        orderable = False
        attrs = {"class": "stack"}

    def __init__(self, events: Iterable[Event], *args, form: TimesForm, meet, **kwargs):
        super().__init__(events, *args, **kwargs)
        self.form, self.meet = form, meet

    def render_name(self, record: Event) -> str:
        address = reverse("desk:event_settings", args=[self.meet.slug, record.pk])
        return format_html('<a href="{}">{}</a>', address, record.name)

    def render_report(self, record: Event) -> BoundField:
        return self.form[f"report_{record.pk}"]

    def render_start(self, record: Event) -> BoundField:
        return self.form[f"start_{record.pk}"]

    def render_pits(self, record: Event) -> str:
        names = dict.fromkeys(part.session.pit.name for part in record.session_parts.all())
        return ", ".join(names) or _("no session yet")

    def render_boards_cm(self, record: Event) -> str:
        return boards_shown(record.boards_cm) or "–"

    def render_rule_changes(self, record: Event) -> str:
        return str(len(record.rule_changes)) if record.rule_changes else ""
