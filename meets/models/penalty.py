from django.core.validators import MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from athletes.models import School
from meets.models.meet import Meet


class Standing(models.Manager):
    """Penalties that stand; those taken back are kept and are no part of any standings."""

    def get_queryset(self) -> models.QuerySet:
        return super().get_queryset().filter(taken_back_at__isnull=True)


class Penalty(models.Model):
    """Points taken from a school in the team standings, with the reason: a line of its own.

    `objects`, and with it `meet.penalties`, are those that stand; `kept` has those taken back too.
    """

    meet = models.ForeignKey(Meet, on_delete=models.CASCADE, related_name="penalties")
    school = models.ForeignKey(School, on_delete=models.PROTECT, related_name="penalties")
    points = models.PositiveSmallIntegerField(_("points taken away"), validators=[MinValueValidator(1)])
    reason = models.CharField(_("reason"), max_length=200)
    by = models.CharField(_("decided by"), max_length=80)
    at = models.DateTimeField(_("when"))
    taken_back_at = models.DateTimeField(_("taken back"), null=True, blank=True)
    taken_back_by = models.CharField(_("taken back by"), max_length=80, blank=True)
    taken_back_reason = models.CharField(_("why it was taken back"), max_length=200, blank=True)

    objects = Standing()
    kept = models.Manager()  # noqa: DJ012  (a manager; the default one must come first)

    class Meta:
        verbose_name = _("penalty")
        verbose_name_plural = _("penalties")
        ordering = ["at"]

    def __str__(self) -> str:
        return f"{self.school}: -{self.points}"
