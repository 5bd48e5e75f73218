from django.core.validators import MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from athletes.models import School
from meets.models.meet import Meet


class Penalty(models.Model):
    """Points taken from a school in the team standings, with the reason: a line of its own."""

    meet = models.ForeignKey(Meet, on_delete=models.CASCADE, related_name="penalties")
    school = models.ForeignKey(School, on_delete=models.PROTECT, related_name="penalties")
    points = models.PositiveSmallIntegerField(_("points taken away"), validators=[MinValueValidator(1)])
    reason = models.CharField(_("reason"), max_length=200)
    by = models.CharField(_("decided by"), max_length=80)
    at = models.DateTimeField(_("when"))

    class Meta:
        verbose_name = _("penalty")
        verbose_name_plural = _("penalties")
        ordering = ["at"]

    def __str__(self) -> str:
        return f"{self.school}: -{self.points}"
