import uuid

from django.db import models
from django.utils.translation import gettext_lazy as _

from meets.models.meet import Meet
from meets.models.pit_key import PitKey


class Device(models.Model):
    """A phone or tablet that came in with a key. `number` is what people call it: "phone 3"."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    meet = models.ForeignKey(Meet, on_delete=models.CASCADE, related_name="devices")
    key = models.ForeignKey(PitKey, on_delete=models.CASCADE, related_name="devices")
    number = models.PositiveSmallIntegerField(_("number"))
    official = models.CharField(_("official"), max_length=80)
    came_in_at = models.DateTimeField(_("came in"))
    revoked_at = models.DateTimeField(_("revoked"), null=True, blank=True)
    last_contact = models.DateTimeField(_("last contact"), null=True, blank=True)
    unsent = models.PositiveIntegerField(_("not sent yet"), default=0)
    clock_off_s = models.IntegerField(_("seconds its clock is off"), default=0)
    app_version = models.CharField(max_length=40, blank=True)

    class Meta:
        verbose_name = _("device")
        verbose_name_plural = _("devices")
        ordering = ["meet", "number"]
        constraints = [models.UniqueConstraint(fields=["meet", "number"], name="device_number_unique_in_meet")]

    def __str__(self) -> str:
        return _("phone %(number)d") % {"number": self.number}


class Stream(models.Model):
    """The numbered entries of one database on a device; `epoch` is new whenever that database was made anew.

    `max_seq` is the highest number that the device says it has given: what is missing up to it is a gap.
    `upto`: every number up to here has come; kept by receiving entries, so that answering needs no count of them.
    """

    device = models.ForeignKey(Device, on_delete=models.CASCADE, related_name="streams")
    epoch = models.UUIDField()
    max_seq = models.PositiveIntegerField(default=0)
    upto = models.PositiveIntegerField(default=0)
    begun_at = models.DateTimeField()

    class Meta:
        verbose_name = _("stream")
        verbose_name_plural = _("streams")
        ordering = ["device", "pk"]
        constraints = [models.UniqueConstraint(fields=["device", "epoch"], name="epoch_unique_in_device")]

    def __str__(self) -> str:
        return f"{self.device_id} {self.epoch}"
