from django.db import models
from django.utils.translation import gettext_lazy as _

from meets.models.event import Event
from meets.models.meet import Meet
from meets.models.pit_session import PitSession


class Role(models.TextChoices):
    """What an official does at the pit; a key may allow several."""

    RECORDER = "recorder", _("recorder")
    SECOND = "second", _("second recorder")
    GAUGE = "gauge", _("wind gauge operator")
    REFEREE = "referee", _("referee")
    DISPLAY = "display", _("display for athletes")


class PitKey(models.Model):
    """Lets phones in: for one pit session or one event, and one role or several. Only a hash of the key is kept."""

    meet = models.ForeignKey(Meet, on_delete=models.CASCADE, related_name="pit_keys")
    session = models.ForeignKey(PitSession, on_delete=models.CASCADE, null=True, blank=True, related_name="keys")
    event = models.ForeignKey(Event, on_delete=models.CASCADE, null=True, blank=True, related_name="keys")
    roles = models.JSONField(_("roles"), default=list)
    hash = models.CharField(max_length=64, unique=True, editable=False)
    made_by = models.CharField(_("made by"), max_length=80, blank=True)
    made_at = models.DateTimeField(_("made"))
    revoked_at = models.DateTimeField(_("revoked"), null=True, blank=True)

    class Meta:
        verbose_name = _("pit key")
        verbose_name_plural = _("pit keys")
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(session__isnull=False, event__isnull=True)
                | models.Q(session__isnull=True, event__isnull=False),
                name="key_for_session_or_event",
            )
        ]

    def __str__(self) -> str:
        return f"{self.session or self.event}: {', '.join(str(Role(role).label) for role in self.roles)}"
