from django.core.validators import MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from meets.models.meet import Meet


class Pit(models.Model):
    """Runway and landing area together."""

    meet = models.ForeignKey(Meet, on_delete=models.CASCADE, related_name="pits")
    name = models.CharField(_("name"), max_length=40)
    sand_cm = models.PositiveSmallIntegerField(
        _("length of the sand, cm"), default=800, validators=[MinValueValidator(300)]
    )
    boards_cm = models.JSONField(_("boards"), default=list, blank=True, help_text=_("distances from the sand in cm"))
    runway_cm = models.PositiveSmallIntegerField(_("length of the runway, cm"), default=4000)
    gauge = models.CharField(_("wind gauge"), max_length=40, blank=True)

    class Meta:
        verbose_name = _("pit")
        verbose_name_plural = _("pits")
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["meet", "name"], name="pit_name_unique_in_meet")]

    def __str__(self) -> str:
        return self.name
