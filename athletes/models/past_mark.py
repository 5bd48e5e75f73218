from django.db import models
from django.utils.translation import gettext_lazy as _

from athletes.models.athlete import Athlete
from athletes.models.discipline import Discipline


class PastMark(models.Model):
    """A valid mark from before a meet: a seed's source and what the reach check goes by.

    `taken_from` names what it was copied from (an event and entry of a meet), so that it can be brought up to date.
    """

    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="past_marks")
    discipline = models.CharField(_("discipline"), max_length=2, choices=Discipline.choices)
    mark_cm = models.PositiveSmallIntegerField(_("mark, cm"))
    quarter_inches = models.PositiveSmallIntegerField(
        _("mark, quarter inches, where it was measured so"), null=True, blank=True
    )
    wind_tenths = models.SmallIntegerField(_("wind, tenths of m/s"), null=True, blank=True)
    jumped_on = models.DateField(_("date"))
    source = models.CharField(_("where it comes from"), max_length=80, blank=True)
    taken_from = models.CharField(_("taken from"), max_length=60, blank=True, db_index=True)

    class Meta:
        verbose_name = _("past mark")
        verbose_name_plural = _("past marks")
        ordering = ["-jumped_on", "pk"]

    def __str__(self) -> str:
        return f"{self.athlete}: {self.mark_cm} cm"
