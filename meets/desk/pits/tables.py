import django_tables2 as tables
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html, format_html_join
from django.utils.translation import gettext_lazy as _

from meets.desk.fields import boards_shown, metres
from meets.desk.pits.reads import PartLine
from meets.models import Pit, PitSession

FIGURES = {"td": {"class": "figures"}, "th": {"class": "figures"}}


class PitsTable(tables.Table):
    name = tables.Column(verbose_name=_("Pit"), attrs={"td": {"class": "lead"}})
    sand_cm = tables.Column(verbose_name=_("Sand, m"), attrs=FIGURES)
    runway_cm = tables.Column(verbose_name=_("Runway, m"), attrs=FIGURES)
    boards_cm = tables.Column(verbose_name=_("Boards, m"), empty_values=(), attrs={"td": {"class": "nowrap"}})
    gauge = tables.Column(verbose_name=_("Wind gauge"), default=_("none"))

    class Meta:
        orderable = False
        attrs = {"class": "stack"}

    def __init__(self, *args, meet, **kwargs):
        super().__init__(*args, **kwargs)
        self.meet = meet

    def render_name(self, record: Pit) -> str:
        address = reverse("desk:pit", args=[self.meet.slug, record.pk])
        return format_html('<a class="row" href="{}">{}</a>', address, record.name)

    def render_sand_cm(self, value: int) -> str:
        return metres(value)

    def render_runway_cm(self, value: int) -> str:
        return metres(value)

    def render_boards_cm(self, record: Pit) -> str:
        return boards_shown(record.boards_cm) or _("not given")


class SessionsTable(tables.Table):
    """Sessions with what is in them; events of one block share a list."""

    starts_at = tables.DateTimeColumn(format="H:i", verbose_name=_("Start"), default=_("no time yet"))
    name = tables.Column(verbose_name=_("Session"), attrs={"td": {"class": "lead"}})
    pit = tables.Column(verbose_name=_("Pit"))
    blocks = tables.Column(verbose_name=_("Events, in order"), empty_values=())
    record = tables.Column(verbose_name=_("Recording"), empty_values=())

    class Meta:
        orderable = False
        attrs = {"class": "stack"}

    def __init__(self, *args, meet, **kwargs):
        super().__init__(*args, **kwargs)
        self.meet = meet

    def render_name(self, record: PitSession) -> str:
        address = reverse("desk:session", args=[self.meet.slug, record.pk])
        return format_html('<a href="{}">{}</a>', address, record.name)

    def render_blocks(self, record: PitSession) -> str:
        blocks: dict[int, list[str]] = {}
        for part in record.parts.all():
            flight = f", {_('flight')} {part.flight}" if part.flight else ""
            blocks.setdefault(part.block, []).append(f"{part.event.name}{flight}")
        if not blocks:
            return _("nothing yet")
        lines = [(_together(names),) for names in blocks.values()]
        if len(lines) == 1:
            return lines[0][0]
        return format_html('<ol class="blocks">{}</ol>', format_html_join("", "<li>{}</li>", lines))

    def render_record(self, record: PitSession) -> str:
        address = reverse("pit:session", args=[record.pk])
        return format_html('<a href="{}">{}</a>', address, _("Record trials"))


def _together(names: list[str]) -> str:
    if len(names) == 1:
        return names[0]
    return _("%(names)s, in one list") % {"names": " + ".join(names)}


class PartsTable(tables.Table):
    """What a session may take, each with its block to be typed; stands inside the form."""

    says = tables.Column(verbose_name=_("Event or flight"), attrs={"td": {"class": "lead"}})
    start = tables.Column(accessor="event__starts_at", verbose_name=_("Start"), empty_values=())
    block = tables.Column(verbose_name=_("Block"), empty_values=())
    further = tables.Column(verbose_name=_("Trials after the cut"), empty_values=())

    class Meta:
        orderable = False
        attrs = {"class": "stack narrow"}

    def __init__(self, *args, form, **kwargs):
        several = any(line.of_several for line in form.lines)
        super().__init__(*args, exclude=() if several else ("further",), **kwargs)
        self.form = form

    def render_start(self, record: PartLine) -> str:
        return f"{timezone.localtime(record.event.starts_at):%H:%M}" if record.event.starts_at else ""

    def render_block(self, record: PartLine) -> object:
        if record.elsewhere:
            return _("in “%(session)s”") % {"session": record.elsewhere}
        field = self.form[f"block_{record.key}"]
        return format_html("{}{}", field.errors, field)

    def render_further(self, record: PartLine) -> object:
        name = f"further_{record.key}"
        return self.form[name] if name in self.form.fields else ""
