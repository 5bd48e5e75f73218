from django.db import models
from django.dispatch import receiver
from django.utils.translation import gettext_lazy as _

from athletes.models import Athlete
from meets.models.event import Event


class Entry(models.Model):
    """An athlete in an event. A bib is text and belongs to the entry, not to the athlete."""

    class Status(models.TextChoices):
        CONFIRMED = "confirmed", _("confirmed")
        PENDING = "pending", _("added at the pit, to be confirmed")
        WITHDRAWN = "withdrawn", _("withdrawn before the meet")

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="entries")
    athlete = models.ForeignKey(Athlete, on_delete=models.PROTECT, related_name="entries")
    bib = models.CharField(_("bib"), max_length=8, blank=True)
    string = models.CharField(_("string"), max_length=2, blank=True)
    guest = models.BooleanField(_("guest"), default=False)
    klass = models.CharField(_("impairment class"), max_length=8, blank=True)
    seed_mark = models.PositiveSmallIntegerField(_("seed mark, in the meet's unit"), null=True, blank=True)
    seed_wind_tenths = models.SmallIntegerField(_("wind of the seed mark"), null=True, blank=True)
    seed_date = models.DateField(_("date of the seed mark"), null=True, blank=True)
    board_cm = models.PositiveSmallIntegerField(_("board, cm"), null=True, blank=True)
    named_at_pit = models.UUIDField(_("named at the pit as"), null=True, blank=True, unique=True, editable=False)
    status = models.CharField(_("status"), max_length=10, choices=Status.choices, default=Status.CONFIRMED)

    class Meta:
        verbose_name = _("entry")
        verbose_name_plural = _("entries")
        ordering = ["event", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["event", "athlete"], name="athlete_once_in_event"),
            models.UniqueConstraint(fields=["event", "bib"], condition=~models.Q(bib=""), name="bib_unique_in_event"),
        ]

    def __str__(self) -> str:
        return f"{self.bib} {self.athlete}".strip()

    def save(self, *args, **kwargs):
        stored = getattr(self, "_stored_event_id", None)
        if stored not in (None, self.event_id):
            refuse_while_logged(self, stored)
        super().save(*args, **kwargs)
        self._stored_event_id = self.event_id

    @classmethod
    def from_db(cls, db, field_names, values):
        entry = super().from_db(db, field_names, values)
        entry._stored_event_id = entry.__dict__.get("event_id")
        return entry


def refuse_while_logged(entry: Entry, event_id: int) -> None:
    """Rows of the log name entries by their keys: whoever is in a drawn event stays in it. Raises ProtectedError."""
    if Event.objects.filter(pk=event_id, log__isnull=False).exists():
        says = _("The event has a log, which may name this entry: withdraw the athlete on the page of the event.")
        raise models.ProtectedError(str(says), {entry})


@receiver(models.signals.pre_delete, sender=Entry, dispatch_uid="entry_stays_in_the_log")
def _stay_in_the_log(instance: Entry, **kwargs: object) -> None:
    refuse_while_logged(instance, instance.event_id)
