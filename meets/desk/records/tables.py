import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from meets.desk.records.claim_reads import ClaimRow
from meets.desk.records.reads import BookLine, what_it_keeps
from meets.models import Meet, RecordBook

MARK = {"td": {"class": "figures"}, "th": {"class": "figures"}}


class ClaimsTable(tables.Table):
    name = tables.Column(verbose_name=_("Athlete"), attrs={"td": {"class": "lead"}})
    event = tables.Column(verbose_name=_("Event"))
    mark = tables.Column(verbose_name=_("Mark"), attrs=MARK)
    what = tables.Column(verbose_name=_("Record"))
    state_words = tables.Column(verbose_name=_("Claim"))

    class Meta:
        attrs = {"class": "stack"}
        orderable = False

    def __init__(self, *args, meet: Meet, **kwargs):
        super().__init__(*args, **kwargs)
        self.meet = meet

    def render_name(self, record: ClaimRow) -> str:
        address = reverse("desk:claim", args=[self.meet.slug, record.claim_id])
        return format_html(
            '<a class="row" href="{}"><span class="bib">{}</span> {}</a>', address, record.bib, record.name
        )

    def render_mark(self, record: ClaimRow) -> str:
        return format_html('<span class="mark">{}</span> <span class="wind">{}</span>', record.mark, record.wind)

    def render_what(self, record: ClaimRow) -> str:
        return format_html('{} <span class="quiet small">{}</span>', record.what, record.book)

    def render_state_words(self, record: ClaimRow) -> str:
        why = format_html(' <span class="quiet small">{}</span>', record.decision) if record.decision else ""
        return format_html("<strong>{}</strong>{}", record.state_words, why)


class BooksTable(tables.Table):
    name = tables.Column(verbose_name=_("Book"), attrs={"td": {"class": "lead"}})
    level = tables.Column(verbose_name=_("What it keeps"), empty_values=())
    needs_wind = tables.Column(verbose_name=_("Wind"))
    line_count = tables.Column(verbose_name=_("Records"), attrs=MARK)

    class Meta:
        attrs = {"class": "stack"}
        orderable = False

    def __init__(self, *args, meet: Meet, **kwargs):
        super().__init__(*args, **kwargs)
        self.meet = meet

    def render_name(self, record: RecordBook) -> str:
        address = reverse("desk:record_book", args=[self.meet.slug, record.pk])
        return format_html('<a class="row" href="{}">{}</a>', address, record.name)

    def render_level(self, record: RecordBook) -> str:
        return what_it_keeps(record)

    def render_needs_wind(self, value: bool) -> str:
        return gettext("a legal reading is needed") if value else gettext("no reading needed")


class LinesTable(tables.Table):
    """The records of a book, event by event: those that stand, beaten ones, those taken out."""

    event = tables.Column(verbose_name=_("Event"), default="", attrs={"td": {"class": "nowrap"}})
    mark = tables.Column(verbose_name=_("Mark"), attrs=MARK)
    holder = tables.Column(verbose_name=_("Holder"), attrs={"td": {"class": "lead"}})
    school = tables.Column(verbose_name=_("School"), default="")
    when = tables.Column(verbose_name=_("When"), attrs={"td": {"class": "nowrap"}})
    where = tables.Column(verbose_name=_("Where"), default="")
    status = tables.Column(verbose_name=_("In the book"))
    go = tables.Column(empty_values=(), verbose_name=_("Change"), attrs={"td": {"class": "no-print nowrap"}})

    class Meta:
        attrs = {"class": "stack records"}
        orderable = False
        row_attrs = {"class": lambda record: "out" if record.taken_out or not record.stands else ""}

    def __init__(self, *args, meet: Meet, book_id: int, **kwargs):
        super().__init__(*args, **kwargs)
        self.meet, self.book_id = meet, book_id

    def render_mark(self, record: BookLine) -> str:
        struck = " struck" if record.taken_out else " best" if record.stands else ""
        return format_html(
            '<span class="mark{}">{}</span> <span class="wind">{}</span>', struck, record.mark, record.wind
        )

    def render_holder(self, record: BookLine) -> str:
        return format_html('<span class="struck">{}</span>', record.holder) if record.taken_out else record.holder

    def render_status(self, record: BookLine) -> str:
        return format_html("<strong>{}</strong>", record.status) if record.stands else record.status

    def render_go(self, record: BookLine) -> str:
        if record.taken_out:
            return ""
        address = reverse("desk:take_out_record", args=[self.meet.slug, self.book_id, record.record_id])
        return format_html('<a href="{}">{}</a>', address, gettext("Take it out"))


class QualifiersTable(tables.Table):
    """Those of one school who go on."""

    event = tables.Column(verbose_name=_("Event"))
    name = tables.Column(verbose_name=_("Athlete"), empty_values=(), attrs={"td": {"class": "lead"}})
    mark = tables.Column(verbose_name=_("Best"), attrs=MARK)
    says = tables.Column(verbose_name=_("Qualified by"))

    class Meta:
        attrs = {"class": "stack narrow"}
        orderable = False

    def render_name(self, record) -> str:
        return format_html('<span class="bib">{}</span> {}', record.bib, record.name)

    def render_mark(self, record) -> str:
        return format_html('<span class="mark">{}</span> <span class="wind">{}</span>', record.mark, record.wind)
