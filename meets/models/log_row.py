import uuid

from django.core.exceptions import ImproperlyConfigured
from django.db import models
from django.utils.translation import gettext_lazy as _

from meets.models.event import Event


class AppendOnly(models.QuerySet):
    """Rows of the log are added and read; nothing else."""

    def update(self, **kwargs):
        raise ImproperlyConfigured("A row of the log is never changed: add a row that supersedes it.")

    def delete(self):
        raise ImproperlyConfigured("A row of the log is never deleted: add a row that supersedes it.")


class LogRow(models.Model):
    """One fact of an event's log, kept for ever. The database refuses UPDATE and DELETE by triggers."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    # The constraint below brings an index that begins with the event.
    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="log", db_index=False)
    rev = models.PositiveIntegerField(_("position in the event's log"))
    kind = models.CharField(_("kind of row"), max_length=30)
    values = models.JSONField(_("what it says"))
    supersedes = models.JSONField(_("rows it replaces"), default=list, blank=True)
    recorder = models.CharField(_("record it belongs to"), max_length=30, blank=True)
    by = models.CharField(_("person"), max_length=80, blank=True)
    reason = models.CharField(_("reason"), max_length=200, blank=True)
    at = models.DateTimeField(_("when"))

    objects = AppendOnly.as_manager()

    class Meta:
        verbose_name = _("row of the log")
        verbose_name_plural = _("rows of the log")
        ordering = ["event", "rev"]
        constraints = [models.UniqueConstraint(fields=["event", "rev"], name="rev_unique_in_event")]

    def __str__(self) -> str:
        return f"{self.rev} {self.kind}"

    def save(self, *args, **kwargs):
        if not self._state.adding:
            raise ImproperlyConfigured("A row of the log is never changed: add a row that supersedes it.")
        super().save(*args, **{**kwargs, "force_insert": True})

    def delete(self, *args, **kwargs):
        raise ImproperlyConfigured("A row of the log is never deleted: add a row that supersedes it.")
