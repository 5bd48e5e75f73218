import django_tables2 as tables
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from meets.desk.packs.reads import state_words
from meets.models import Mailing
from meets.publishing.packs.reads import Letter
from meets.running.times import moment_said
from meets.sheets.for_schools import MedalLine

State = Mailing.State
SIGNS = {State.SENT: "✓", State.FAILED: "▲", State.UNSURE: "?", State.NO_ADDRESS: "▲"}
FIGURES = {"td": {"class": "figures"}, "th": {"class": "figures"}}


class PacksTable(tables.Table):
    """Schools with their newest pack, how its letter stands, and what can be done with it."""

    school = tables.Column(verbose_name=_("School"), attrs={"td": {"class": "lead"}})
    pack = tables.Column(verbose_name=_("Pack"), accessor="pack")
    files = tables.Column(verbose_name=_("Open"), empty_values=(), accessor="pack")
    letter = tables.Column(verbose_name=_("Letter"), empty_values=(), accessor="state")
    act = tables.Column(verbose_name=_("If need be"), empty_values=(), accessor="state")

    class Meta:
        orderable = False
        attrs = {"class": "stack packs"}

    def __init__(self, *args, meet, request, **kwargs):
        super().__init__(*args, **kwargs)
        self.meet, self.asked = meet, request

    def render_school(self, record: Letter):
        if record.contact:
            return format_html('{}<br><span class="quiet small">{}</span>', record.school, record.contact)
        return format_html(
            '{}<br><a class="small" href="{}">{}</a>',
            record.school,
            reverse("desk:school", args=[self.meet.slug, record.school_id]),
            gettext("no address: print it, or give one"),
        )

    def render_pack(self, record: Letter):
        made = gettext("version %(version)d, %(when)s") % {
            "version": record.pack.version,
            "when": moment_said(record.pack.at, timezone.now()),
        }
        if not record.changes:
            return made
        new = ngettext("%(count)d change", "%(count)d changes", record.changes) % {"count": record.changes}
        return format_html('{}<br><span class="quiet small">{}</span>', made, new)

    def render_files(self, record: Letter):
        addresses = [reverse(f"packs:{kind}", args=[self.meet.slug, record.pack.pk]) for kind in ("pdf", "csv")]
        return format_html('<a href="{}">PDF</a> · <a href="{}">CSV</a>', *addresses)

    def render_letter(self, record: Letter):
        outcome = record.mailing.outcome if record.mailing else ""
        sign = SIGNS.get(record.state, "")
        words = format_html(
            '<span class="letter-{}">{}{}</span>', record.state.replace(" ", "-"), f"{sign} " if sign else "",
            state_words(record),
        )  # fmt: skip
        return format_html('{}<br><span class="quiet small">{}</span>', words, outcome) if outcome else words

    def render_act(self, record: Letter):
        context = {
            "meet": self.meet,
            "line": record,
            "unsure": record.state == State.UNSURE,
            "asks_first": record.state in (State.SENT, State.UNSURE),
            "needed": record.state != State.SENT,
        }
        return render_to_string("desk/_packs_act.html", context, self.asked) if self._may_act(record) else ""

    def _may_act(self, record: Letter) -> bool:
        return bool(record.mailing and record.contact and record.state not in (State.WAITING, State.SENDING))


class MedalsTable(tables.Table):
    """Schools by firsts, seconds, thirds."""

    place = tables.Column(verbose_name=_("Place"), attrs={"td": {"class": "place"}})
    school = tables.Column(verbose_name=_("School"), attrs={"td": {"class": "lead"}})
    firsts = tables.Column(verbose_name=_("1st"), attrs=FIGURES)
    seconds = tables.Column(verbose_name=_("2nd"), attrs=FIGURES)
    thirds = tables.Column(verbose_name=_("3rd"), attrs=FIGURES)
    total = tables.Column(verbose_name=_("All"), attrs=FIGURES)

    class Meta:
        orderable = False
        attrs = {"class": "medals"}

    def render_total(self, record: MedalLine) -> int:
        return record.total
