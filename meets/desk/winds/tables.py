import django_tables2 as tables
from django.utils.html import format_html
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

CENTRE = {"td": {"class": "figures"}, "th": {"class": "figures"}}


class OwedTable(tables.Table):
    """Winds that are owed, each with its field; stands inside the form. A row is (person, turn)."""

    bib = tables.Column(empty_values=(), verbose_name=_("Bib"))
    name = tables.Column(empty_values=(), verbose_name=_("Name"), attrs={"td": {"class": "lead"}})
    round = tables.Column(empty_values=(), verbose_name=_("Round"), attrs=CENTRE)
    wind = tables.Column(empty_values=(), verbose_name=_("Wind, m/s"))

    class Meta:
        orderable = False
        attrs = {"class": "narrow"}

    def __init__(self, *args, form, **kwargs):
        super().__init__(*args, **kwargs)
        self.form = form

    def render_bib(self, record) -> str:
        return format_html('<span class="bib">{}</span>', record[0].bib)

    def render_name(self, record) -> str:
        return record[0].name

    def render_round(self, record) -> str:
        turn = record[1]
        return f"{turn.round}" + (gettext(" (replacement)") if turn.replacement else "")

    def render_wind(self, record) -> str:
        field = self.form[self.form.name_of(record[1])]
        return format_html("{}{}", field.errors, field)
