import django_tables2 as tables
from django.utils.html import format_html
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from meets.desk.cut.reads import CutRow

FIGURES = {"td": {"class": "figures"}, "th": {"class": "figures"}}


class CutTable(tables.Table):
    """Everybody at the cut, in or out, and why. With `form` each has a box to tick."""

    box = tables.Column(empty_values=(), verbose_name=_("Goes on"), attrs={"td": {"class": "sign"}})
    bib = tables.Column(accessor="person__bib", verbose_name=_("Bib"))
    name = tables.Column(accessor="person__name", verbose_name=_("Name"), attrs={"td": {"class": "lead"}})
    school = tables.Column(accessor="person__school", verbose_name=_("School"))
    marks = tables.Column(empty_values=(), verbose_name=_("Valid marks, best first"), attrs=FIGURES)
    says = tables.Column(verbose_name=_("Why"), attrs={"td": {"class": "why"}})

    class Meta:
        orderable = False
        attrs = {"class": "cut-list"}
        row_attrs = {"class": lambda record: "" if record.goes_on else "out"}

    def __init__(self, *args, form=None, **kwargs):
        super().__init__(*args, **kwargs)
        self.form = form

    def render_box(self, record: CutRow) -> object:
        if self.form:
            return self.form[f"on_{record.person.entry}"]
        return gettext("in") if record.goes_on else gettext("out")

    def render_bib(self, value: str) -> str:
        return format_html('<span class="bib">{}</span>', value)

    def render_name(self, value: str, record: CutRow) -> str:
        if not record.person.guest:
            return value
        return format_html('{} <span class="tag">{}</span>', value, gettext("guest"))

    def render_marks(self, record: CutRow) -> str:
        return "  ".join(record.marks)
