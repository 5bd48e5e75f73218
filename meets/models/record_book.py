from django.db import models
from django.utils.translation import gettext_lazy as _

from athletes.models import Athlete, Discipline, School
from meets.models.entry import Entry
from meets.models.event import Event
from meets.models.meet import Meet
from scoring.marks import Unit


class RecordBook(models.Model):
    """Records of one level: of a meet held every year, of a district, of a school. Meets of several years use it."""

    class Level(models.TextChoices):
        MEET = "meet", _("meet record")
        DISTRICT = "district", _("district record")
        SCHOOL = "school", _("school record")

    name = models.CharField(_("name"), max_length=80, unique=True)
    level = models.CharField(_("level"), max_length=8, choices=Level.choices)
    school = models.ForeignKey(School, null=True, blank=True, on_delete=models.PROTECT, related_name="record_books")
    meets = models.ManyToManyField(Meet, blank=True, related_name="record_books", verbose_name=_("meets"))
    unit = models.CharField(_("unit"), max_length=12, choices=[(u.value, u.value) for u in Unit], default=Unit.CM.value)
    needs_wind = models.BooleanField(
        _("a legal wind is needed"),
        default=True,
        help_text=_("Without it a mark counts whatever the wind was, and is said to be without wind information."),
    )

    class Meta:
        verbose_name = _("record book")
        verbose_name_plural = _("record books")
        ordering = ["level", "name"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(level="school", school__isnull=False)
                | (~models.Q(level="school") & models.Q(school__isnull=True)),
                name="school_book_has_its_school",
            )
        ]

    def __str__(self) -> str:
        return self.name


class Record(models.Model):
    """A line in a record book and, with the earlier lines of the same event, its history. Marks in the book's unit.

    A line that was beaten stays. One that turns out to be none (disqualified later, typed wrong) is taken out with a
    reason and stays readable.
    """

    book = models.ForeignKey(RecordBook, on_delete=models.CASCADE, related_name="records")
    discipline = models.CharField(_("discipline"), max_length=2, choices=Discipline.choices)
    category = models.CharField(_("category"), max_length=6, choices=Event.Category.choices)
    age_group = models.CharField(_("age group"), max_length=20)
    mark = models.PositiveSmallIntegerField(_("mark, in the book's unit"))
    wind_tenths = models.SmallIntegerField(_("wind, tenths of m/s"), null=True, blank=True)
    holder = models.CharField(_("holder"), max_length=120)
    school = models.CharField(_("school"), max_length=80, blank=True)
    athlete = models.ForeignKey(Athlete, null=True, blank=True, on_delete=models.SET_NULL, related_name="records")
    year = models.PositiveSmallIntegerField(_("year"))
    set_on = models.DateField(_("date"), null=True, blank=True)
    venue = models.CharField(_("where"), max_length=100, blank=True)
    approved_by = models.CharField(_("approved by"), max_length=80, blank=True)
    approved_at = models.DateTimeField(_("approved"), null=True, blank=True)
    taken_out_at = models.DateTimeField(_("taken out"), null=True, blank=True)
    taken_out_by = models.CharField(_("taken out by"), max_length=80, blank=True)
    taken_out_reason = models.CharField(_("why it was taken out"), max_length=200, blank=True)

    class Meta:
        verbose_name = _("record")
        verbose_name_plural = _("records")
        ordering = ["book", "discipline", "category", "age_group", "-mark", "year"]

    def __str__(self) -> str:
        return f"{self.book}: {self.holder}"


class RecordClaim(models.Model):
    """A mark of a meet that beats or equals a record, until somebody decides. `turn` is `entry-round-replacement`."""

    class State(models.TextChoices):
        OPEN = "open", _("open")
        APPROVED = "approved", _("approved")
        REFUSED = "refused", _("refused")
        WITHDRAWN = "withdrawn", _("the mark no longer stands")

    book = models.ForeignKey(RecordBook, on_delete=models.PROTECT, related_name="claims")
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="record_claims")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="record_claims")
    turn = models.CharField(_("turn"), max_length=40)
    mark = models.PositiveSmallIntegerField(_("mark, in the book's unit"))
    wind_tenths = models.SmallIntegerField(_("wind, tenths of m/s"), null=True, blank=True)
    equals = models.BooleanField(_("equals the record"), default=False)
    state = models.CharField(_("how it stands"), max_length=10, choices=State.choices, default=State.OPEN)
    board_confirmed_by = models.CharField(_("board and runway confirmed by"), max_length=80, blank=True)
    measured_confirmed_by = models.CharField(_("measurement confirmed by"), max_length=80, blank=True)
    wind_confirmed_by = models.CharField(_("wind gauge confirmed by"), max_length=80, blank=True)
    made_at = models.DateTimeField(_("made"))
    decided_at = models.DateTimeField(_("decided"), null=True, blank=True)
    decided_by = models.CharField(_("decided by"), max_length=80, blank=True)
    decision = models.CharField(_("decision in words"), max_length=200, blank=True)
    record = models.OneToOneField(Record, null=True, blank=True, on_delete=models.SET_NULL, related_name="claim")

    class Meta:
        verbose_name = _("record claim")
        verbose_name_plural = _("record claims")
        ordering = ["event", "pk"]
        constraints = [models.UniqueConstraint(fields=["book", "event", "turn"], name="claim_once_for_a_turn")]

    def __str__(self) -> str:
        return f"{self.book}: {self.entry}"
