import uuid

from django.db import models
from django.utils.translation import gettext_lazy as _

from meets.models.device import Device, Stream
from meets.models.event import Event


class Delivery(models.Model):
    """An entry of a phone as it came, byte for byte. What can be is in the log under the same id; the rest waits."""

    class Status(models.TextChoices):
        STORED = "stored", _("in the log")
        NEEDS_REVIEW = "needs_review", _("to be looked at")
        LEFT_OUT = "left_out", _("left out by the desk")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    # No index of its own where another begins with it, or nobody asks by it: each entry is written into all of them.
    stream = models.ForeignKey(Stream, on_delete=models.PROTECT, related_name="deliveries", db_index=False)
    seq = models.PositiveIntegerField()
    event = models.ForeignKey(Event, on_delete=models.PROTECT, null=True, blank=True, related_name="deliveries")
    body = models.TextField()
    hash = models.CharField(max_length=64)
    status = models.CharField(max_length=12, choices=Status.choices)
    problem = models.CharField(max_length=200, blank=True)
    brought_by = models.ForeignKey(Device, on_delete=models.PROTECT, related_name="brought", db_index=False)
    at = models.DateTimeField()
    settled_by = models.CharField(max_length=80, blank=True)
    settled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = _("delivery")
        verbose_name_plural = _("deliveries")
        ordering = ["stream", "seq"]
        constraints = [models.UniqueConstraint(fields=["stream", "seq"], name="seq_unique_in_stream")]

    def __str__(self) -> str:
        return f"{self.stream_id}/{self.seq}"


class SetAside(models.Model):
    """An entry whose id or number is taken by another one with other content. Both are kept; the desk looks at it."""

    device = models.ForeignKey(Device, on_delete=models.PROTECT, related_name="set_aside")
    body = models.TextField()
    hash = models.CharField(max_length=64, unique=True)
    clashes_with = models.CharField(max_length=80)
    at = models.DateTimeField()
    settled_by = models.CharField(max_length=80, blank=True)
    settled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = _("entry set aside")
        verbose_name_plural = _("entries set aside")
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.hash[:12]
