from django.db import models
from django.utils.translation import gettext_lazy as _

from athletes.models.school import School


class Athlete(models.Model):
    """A pupil who jumps. The birth date is used for age groups only and is never shown to other schools.

    It is missing only for somebody who was named at the pit, until the desk has asked.
    """

    class Sex(models.TextChoices):
        FEMALE = "F", _("girl")
        MALE = "M", _("boy")

    school = models.ForeignKey(School, on_delete=models.PROTECT, related_name="athletes")
    first_name = models.CharField(_("first name"), max_length=60)
    last_name = models.CharField(_("surname"), max_length=60)
    born = models.DateField(_("date of birth"), null=True, blank=True)
    sex = models.CharField(_("sex"), max_length=1, choices=Sex.choices)
    school_year = models.CharField(_("school year"), max_length=12, blank=True)
    not_public = models.BooleanField(
        _("name is not shown to the public"), default=False, help_text=_("The public sees bib and school only.")
    )
    say_it = models.CharField(_("how to say the name"), max_length=80, blank=True)

    class Meta:
        verbose_name = _("athlete")
        verbose_name_plural = _("athletes")
        ordering = ["last_name", "first_name"]
        constraints = [
            models.UniqueConstraint(
                fields=["school", "first_name", "last_name", "born"], name="athlete_unique_in_school"
            )
        ]

    def __str__(self) -> str:
        return f"{self.first_name} {self.last_name}"
