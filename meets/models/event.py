from django.db import models
from django.utils.translation import gettext_lazy as _

from athletes.models import Discipline
from meets.models.meet import Meet


class Event(models.Model):
    """One discipline, category and age group: what has places, a cut and points."""

    class Category(models.TextChoices):
        GIRLS = "girls", _("girls")
        BOYS = "boys", _("boys")
        MIXED = "mixed", _("girls and boys")

    meet = models.ForeignKey(Meet, on_delete=models.CASCADE, related_name="events")
    name = models.CharField(_("name"), max_length=80)
    discipline = models.CharField(_("discipline"), max_length=2, choices=Discipline.choices)
    category = models.CharField(_("category"), max_length=6, choices=Category.choices)
    age_group = models.CharField(_("age group"), max_length=20)
    rule_changes = models.JSONField(_("rules changed for this event"), default=dict, blank=True)
    boards_cm = models.JSONField(
        _("boards"), default=list, blank=True, help_text=_("distances from the sand in cm that athletes may choose")
    )
    report_at = models.DateTimeField(_("report"), null=True, blank=True)
    starts_at = models.DateTimeField(_("start"), null=True, blank=True)
    position = models.PositiveSmallIntegerField(_("place in the programme"), default=0)
    rotation = models.PositiveSmallIntegerField(_("school that starts, in a rotation"), default=0)

    class Meta:
        verbose_name = _("event")
        verbose_name_plural = _("events")
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["meet", "name"], name="event_name_unique_in_meet"),
            models.UniqueConstraint(
                fields=["meet", "discipline", "category", "age_group"], name="event_unique_in_meet"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def delete(self, *args, **kwargs):
        """Refused with a sentence while it has a log; every other way of deleting it is refused too."""
        if self.log.exists():
            says = _("%(event)s has a log and stays: what was recorded is never deleted.")
            raise models.ProtectedError(says % {"event": self}, {self})
        return super().delete(*args, **kwargs)
