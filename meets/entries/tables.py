import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import mark_safe
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from meets.entries import reads
from meets.models import Entry

CHECKED = mark_safe(" checked")
LINE = {"td": {"class": "figures line"}, "th": {"class": "figures line"}}
FIGURES = {"td": {"class": "figures"}, "th": {"class": "figures"}}


class EntryTable(tables.Table):
    """The entries of a meet. The year of birth only: nobody needs the date here."""

    bib = tables.Column(verbose_name=gettext_lazy("Bib"), default="", attrs={"td": {"class": "first"}})
    name = tables.Column(
        accessor="athlete",
        verbose_name=gettext_lazy("Athlete"),
        order_by=("athlete__last_name", "athlete__first_name"),
        attrs={"td": {"class": "lead"}},
    )
    year = tables.Column(
        accessor="athlete__born__year",
        verbose_name=gettext_lazy("Born"),
        order_by="athlete__born",
        default=gettext_lazy("not known"),
    )
    school = tables.Column(accessor="athlete__school__code", verbose_name=gettext_lazy("School"))
    event = tables.Column(verbose_name=gettext_lazy("Event"), order_by=("event__position", "event"))
    string = tables.Column(verbose_name=gettext_lazy("String"), empty_values=())
    best = tables.Column(
        accessor="seed_mark", verbose_name=gettext_lazy("Best"), empty_values=(), default="", attrs=FIGURES
    )
    board = tables.Column(
        accessor="board_cm", verbose_name=gettext_lazy("Board"), empty_values=(), default="", attrs=FIGURES
    )

    class Meta:
        attrs = {"class": "stack brief"}
        row_attrs = {"class": lambda record: "out" if record.status == Entry.Status.WITHDRAWN else None}
        sequence = ("bib", "name", "year", "school", "event", "string", "best", "board")

    def __init__(self, *args, meet, **kwargs):
        super().__init__(*args, **kwargs)
        self.meet = meet

    def render_bib(self, value):
        return format_html('<span class="bib">{}</span>', value) if value else ""

    def render_name(self, record):
        address = reverse("entries:entry", args=[self.meet.slug, record.pk])
        notes = (
            "" if record.status == Entry.Status.CONFIRMED else str(record.get_status_display()),
            _("class %(name)s") % {"name": record.klass} if record.klass else "",
            _("name not shown") if record.athlete.not_public else "",
        )
        note = ", ".join(filter(None, notes))
        quiet = format_html(' <span class="quiet">{}</span>', note) if note else ""
        return format_html('<a class="row" href="{}">{}</a>{}', address, record.athlete, quiet)

    def render_school(self, record):
        school = record.athlete.school
        return format_html('<abbr title="{}">{}</abbr>', school.name, school.code)

    def render_string(self, record):
        return _("guest") if record.guest else record.string

    def render_best(self, record):
        return reads.best_shown(record, self.meet.unit)

    def render_board(self, record):
        return reads.board_shown(record.board_cm, self.meet.unit)


class CheckedTable(tables.Table):
    """Lines of a checked file that share a verdict."""

    number = tables.Column(verbose_name=gettext_lazy("Line"), attrs=LINE)
    name = tables.Column(verbose_name=gettext_lazy("Athlete"), attrs={"td": {"class": "lead"}}, default="")
    year = tables.Column(verbose_name=gettext_lazy("Born"), default="")
    school = tables.Column(verbose_name=gettext_lazy("School"), default="")
    event = tables.Column(verbose_name=gettext_lazy("Event"), default="", attrs={"td": {"class": "event"}})
    string = tables.Column(verbose_name=gettext_lazy("String"), default="")
    best = tables.Column(verbose_name=gettext_lazy("Best"), default="", attrs=FIGURES)
    board = tables.Column(verbose_name=gettext_lazy("Board"), default="", attrs=FIGURES)
    reasons = tables.Column(
        verbose_name=gettext_lazy("What there is to say"), default="", attrs={"td": {"class": "says"}}
    )
    choice = tables.Column(accessor="number", attrs={"td": {"class": "sign"}, "th": {"class": "sign"}})

    class Meta:
        attrs = {"class": "stack brief checked"}
        orderable = False

    def __init__(self, *args, field="", choice_label="", ticked=frozenset(), leave=(), **kwargs):
        """`field`: name of the boxes, '' for none; `ticked`: lines ticked before; `leave`: columns left out."""
        super().__init__(*args, exclude=(*leave, *(() if field else ("choice",))), **kwargs)
        self.field, self.choice_label, self.ticked = field, choice_label, ticked
        if field:
            self.columns["choice"].column.verbose_name = choice_label

    def render_reasons(self, value):
        return format_html_join(
            "",
            '<div class="reason">{}{}</div>',
            (
                (format_html("<strong>{}</strong>: ", column) if column else "", capfirst(says))
                for column, says in value
            ),
        )

    def render_choice(self, value):
        return format_html(
            '<label class="tick" data-says="{}"><input type="checkbox" name="{}" value="{}"{}>'
            '<span class="tick-says">{}</span></label>',
            self.choice_label,
            self.field,
            value,
            CHECKED if value in self.ticked else "",
            _("%(what)s: line %(line)s") % {"what": self.choice_label, "line": value},
        )
