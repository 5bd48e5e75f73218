from django.db import models
from django.utils.translation import gettext_lazy as _

from meets.models.event import Event
from meets.models.pit import Pit


class PitSession(models.Model):
    """What a crew works through at one pit: an ordered list of flights, of one event or several."""

    pit = models.ForeignKey(Pit, on_delete=models.PROTECT, related_name="sessions")
    name = models.CharField(_("name"), max_length=80)
    starts_at = models.DateTimeField(_("start"), null=True, blank=True)

    class Meta:
        verbose_name = _("pit session")
        verbose_name_plural = _("pit sessions")
        ordering = ["starts_at", "pk"]

    def __str__(self) -> str:
        return self.name


class SessionPart(models.Model):
    """A flight (or, with flight 0, all flights) of an event in a session.

    Parts with the same `block` jump together, round by round; blocks follow one another.
    """

    session = models.ForeignKey(PitSession, on_delete=models.CASCADE, related_name="parts")
    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="session_parts")
    flight = models.PositiveSmallIntegerField(_("flight"), default=0, help_text=_("0 means all flights"))
    block = models.PositiveSmallIntegerField(_("block"), default=1)
    position = models.PositiveSmallIntegerField(_("position"), default=0)
    further_trials = models.BooleanField(
        _("further trials are held here"), default=False, help_text=_("if none is ticked: where the last flight is")
    )

    class Meta:
        verbose_name = _("part of a session")
        verbose_name_plural = _("parts of a session")
        ordering = ["block", "position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["event", "flight"], name="flight_in_one_session"),
        ]

    def __str__(self) -> str:
        return f"{self.session}: {self.event}"
