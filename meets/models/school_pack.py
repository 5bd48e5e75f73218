from django.db import models
from django.utils.translation import gettext_lazy as _

from athletes.models import School
from meets.models.meet import Meet


class SchoolPack(models.Model):
    """What one school is sent of a meet: a version for each time that something of it changed."""

    meet = models.ForeignKey(Meet, on_delete=models.CASCADE, related_name="packs")
    school = models.ForeignKey(School, on_delete=models.PROTECT, related_name="packs")
    version = models.PositiveIntegerField(_("version"))
    document = models.TextField(_("pack, as canonical JSON"))
    sha256 = models.CharField(_("SHA-256 of the JSON"), max_length=64)
    pdf = models.BinaryField(_("PDF"))
    csv = models.TextField(_("CSV"))
    changes = models.JSONField(_("what changed since the version before"), default=list, blank=True)
    at = models.DateTimeField(_("when"))

    class Meta:
        verbose_name = _("pack of a school")
        verbose_name_plural = _("packs of schools")
        ordering = ["meet", "school", "version"]
        constraints = [
            models.UniqueConstraint(fields=["meet", "school", "version"], name="version_unique_of_pack"),
        ]

    def __str__(self) -> str:
        return f"{self.school}, {self.version}"


class Mailing(models.Model):
    """A pack on its way to one address, once: what was tried and what came of it.

    `message_id` is the same at every try. `unsure`: the connection broke after the message had been given over, so
    it may have arrived; it is not sent again unless somebody asks for that.
    """

    class State(models.TextChoices):
        WAITING = "waiting", _("to be sent")
        SENDING = "sending", _("being sent")
        SENT = "sent", _("sent")
        FAILED = "failed", _("not sent")
        UNSURE = "unsure", _("may have arrived")
        NO_ADDRESS = "no address", _("no address known")
        OVERTAKEN = "overtaken", _("a newer pack was sent instead")

    pack = models.ForeignKey(SchoolPack, on_delete=models.CASCADE, related_name="mailings")
    address = models.EmailField(_("address"), blank=True)
    message_id = models.CharField(_("number of the message"), max_length=200, unique=True)
    state = models.CharField(_("how it stands"), max_length=10, choices=State.choices, default=State.WAITING)
    tries = models.PositiveSmallIntegerField(_("tries"), default=0)
    outcome = models.CharField(_("what the mail server said"), max_length=300, blank=True)
    made_at = models.DateTimeField(_("made"))
    tried_at = models.DateTimeField(_("last tried"), null=True, blank=True)
    sent_at = models.DateTimeField(_("sent at"), null=True, blank=True)

    class Meta:
        verbose_name = _("mailing")
        verbose_name_plural = _("mailings")
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["pack", "address"], name="pack_once_to_an_address")]

    def __str__(self) -> str:
        return f"{self.pack}: {self.state}"
