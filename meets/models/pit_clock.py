from django.db import models
from django.utils.translation import gettext_lazy as _

from meets.models.pit_session import PitSession


class PitClock(models.Model):
    """The trial clock of a session as it runs now, for other screens; what it showed is no part of the log."""

    session = models.OneToOneField(PitSession, on_delete=models.CASCADE, primary_key=True, related_name="clock")
    turn = models.CharField(max_length=40)
    started_at = models.DateTimeField(null=True, blank=True)
    seconds = models.PositiveSmallIntegerField(default=60)

    class Meta:
        verbose_name = _("trial clock")
        verbose_name_plural = _("trial clocks")

    def __str__(self) -> str:
        return self.turn
