import uuid

from django.core.exceptions import ImproperlyConfigured
from django.db import models
from django.utils.translation import gettext_lazy as _

from meets.models.event import Event
from meets.models.log_row import AppendOnly
from meets.models.meet import Meet


class Publication(models.Model):
    """One version of a result as it was published, kept for ever: its JSON, and the PDF and CSV made from that.

    Without an event it is the meet's team standings. A change is a new version; the database refuses any other.
    """

    class Status(models.TextChoices):
        PROVISIONAL = "provisional", _("provisional")
        OFFICIAL = "official", _("official")
        AMENDED = "amended", _("amended")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    meet = models.ForeignKey(Meet, on_delete=models.PROTECT, related_name="publications")
    event = models.ForeignKey(Event, null=True, blank=True, on_delete=models.PROTECT, related_name="publications")
    version = models.PositiveIntegerField(_("version"))
    status = models.CharField(_("status"), max_length=12, choices=Status.choices)
    log_version = models.PositiveIntegerField(_("position in the event's log"), default=0)
    document = models.TextField(_("result, as canonical JSON"))
    sha256 = models.CharField(_("SHA-256 of the JSON"), max_length=64)
    pdf = models.BinaryField(_("PDF made from the JSON"))
    csv = models.TextField(_("CSV made from the JSON"))
    changes = models.JSONField(_("what changed since the version before"), default=list, blank=True)
    protests_until = models.DateTimeField(_("protests until"), null=True, blank=True)
    reason = models.CharField(_("why"), max_length=200, blank=True)
    by = models.CharField(_("published by"), max_length=80)
    at = models.DateTimeField(_("when"))

    objects = AppendOnly.as_manager()

    class Meta:
        verbose_name = _("publication")
        verbose_name_plural = _("publications")
        ordering = ["meet", "event", "version"]
        constraints = [
            models.UniqueConstraint(fields=["event", "version"], name="version_unique_of_event"),
            models.UniqueConstraint(
                fields=["meet", "version"],
                condition=models.Q(event__isnull=True),
                name="version_unique_of_standings",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.event or self.meet}, {self.version}"

    def save(self, *args, **kwargs):
        if not self._state.adding:
            raise ImproperlyConfigured("A published version is never changed: publish a new version.")
        super().save(*args, **{**kwargs, "force_insert": True})

    def delete(self, *args, **kwargs):
        raise ImproperlyConfigured("A published version is never deleted: publish a new version.")
