import django_tables2 as tables
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from meets.desk.phones.forms import name_of
from meets.desk.phones.proposal import USUAL, Offer
from meets.desk.phones.reads import CodeLine, PhoneLine
from meets.desk.phones.words import pit_said
from meets.running.times import moment_said


class InMeet(tables.Table):
    class Meta:
        orderable = False
        attrs = {"class": "stack"}

    def __init__(self, *args, meet, **kwargs):
        super().__init__(*args, **kwargs)
        self.meet = meet


class PhonesTable(InMeet):
    """Phones by number; what is missing, and who has not been heard of, stands in words."""

    number = tables.Column(verbose_name=_("Phone"), accessor="device__number", attrs={"td": {"class": "lead"}})
    official = tables.Column(verbose_name=_("Official"), accessor="device__official", default=_("no name"))
    roles = tables.Column(verbose_name=_("Role"))
    where = tables.Column(verbose_name=_("Where"))
    contact = tables.Column(verbose_name=_("Last contact"))
    entries = tables.Column(verbose_name=_("Entries"))
    notes = tables.Column(verbose_name=_("Notes"), empty_values=())

    class Meta(InMeet.Meta):
        row_attrs = {"class": lambda record: "out" if record.locked_out else ""}

    def render_number(self, record: PhoneLine) -> str:
        address = reverse("desk:phone", args=[self.meet.slug, record.device.number])
        return format_html('<a class="row" href="{}">{}</a>', address, capfirst(record.device))

    def render_contact(self, record: PhoneLine) -> object:
        return format_html("<strong>{}</strong>", record.contact) if record.silent else record.contact

    def render_entries(self, record: PhoneLine) -> object:
        if record.lost:
            return format_html('<strong class="alarm-word">{}</strong>', record.entries)
        return record.entries

    def render_notes(self, record: PhoneLine) -> str:
        return ", ".join(note for note in (str(_("locked out")) if record.locked_out else "", record.clock) if note)


class CodesTable(InMeet):
    """Codes that were made, with what can be done about each."""

    roles = tables.Column(verbose_name=_("Code for"), attrs={"td": {"class": "lead"}})
    where = tables.Column(verbose_name=_("Where"))
    made = tables.Column(verbose_name=_("Made"), accessor="key__made_at")
    phones = tables.Column(verbose_name=_("Phones in"), attrs={"td": {"class": "figures"}, "th": {"class": "figures"}})
    state = tables.Column(verbose_name=_("State"), empty_values=())

    class Meta(InMeet.Meta):
        row_attrs = {"class": lambda record: "out" if record.closed or record.revoked else ""}

    def render_roles(self, record: CodeLine) -> str:
        address = reverse("desk:code", args=[self.meet.slug, record.key.pk])
        return format_html('<a class="row" href="{}">{}</a>', address, capfirst(record.roles))

    def render_made(self, record: CodeLine) -> str:
        return f"{moment_said(record.key.made_at, timezone.now())} {record.key.made_by}".strip()

    def render_state(self, record: CodeLine) -> str:
        if record.revoked:
            return _("taken back, its phones are locked out")
        return _("lets no more phones in") if record.closed else _("lets phones in")


class OffersTable(InMeet):
    """Sessions and the codes to be made for each; stands inside the form."""

    session = tables.Column(verbose_name=_("Session"), attrs={"td": {"class": "lead"}})

    class Meta(InMeet.Meta):
        attrs = {"class": "stack codes"}

    def __init__(self, *args, form, **kwargs):
        columns = [(usual.name, tables.Column(verbose_name=usual.title, empty_values=())) for usual in USUAL]
        self.form = form
        for usual in USUAL:
            setattr(self, f"render_{usual.name}", self._ticks(usual.name))
        super().__init__(*args, extra_columns=columns, **kwargs)

    def render_session(self, record: Offer) -> object:
        over = format_html(' <span class="quiet">{}</span>', _("closed")) if record.over else ""
        named = format_html('{}<br><span class="quiet">{}</span>', pit_said(record.session), record.session.name)
        return format_html("{}{}", named, over)

    def _ticks(self, usual: str):
        def render(record: Offer) -> object:
            field = self.form[name_of(record, usual)]
            field.field.widget.attrs["aria-label"] = field.label
            note = _("made") if usual in record.made else ""
            if usual == "gauge" and not record.gauge:
                note = _("no gauge here")
            words = format_html(' <span class="quiet small">{}</span>', note) if note else ""
            return format_html('<label class="tick">{}{}</label>', field, words)

        return render
