from django.db import models
from django.utils.translation import gettext_lazy as _

from athletes.models import Discipline
from meets.models.event import Event
from meets.models.meet import Meet


class Standard(models.Model):
    """A named threshold of a meet, as a step of an award: who jumps `mark` (in the meet's unit) has reached it.

    An empty category or age group stands for all of them. Of several steps reached, the one of the longest mark is
    shown.
    """

    meet = models.ForeignKey(Meet, on_delete=models.CASCADE, related_name="standards")
    name = models.CharField(_("name"), max_length=40)
    discipline = models.CharField(_("discipline"), max_length=2, choices=Discipline.choices)
    category = models.CharField(_("category"), max_length=6, choices=Event.Category.choices, blank=True)
    age_group = models.CharField(_("age group"), max_length=20, blank=True)
    mark = models.PositiveSmallIntegerField(_("mark, in the meet's unit"))

    class Meta:
        verbose_name = _("standard")
        verbose_name_plural = _("standards")
        ordering = ["discipline", "category", "age_group", "mark"]
        constraints = [
            models.UniqueConstraint(
                fields=["meet", "name", "discipline", "category", "age_group"], name="standard_once_in_meet"
            )
        ]

    def __str__(self) -> str:
        return self.name


class NextMeet(models.Model):
    """The meet that the best of this one go on to: how they qualify, and by when their schools answer."""

    meet = models.OneToOneField(Meet, on_delete=models.CASCADE, related_name="next_meet")
    name = models.CharField(_("name"), max_length=100)
    date = models.DateField(_("date"))
    venue = models.CharField(_("where"), max_length=100, blank=True)
    reply_by = models.DateField(_("reply by"), null=True, blank=True)
    reply_to = models.EmailField(_("reply to"), blank=True)
    places = models.PositiveSmallIntegerField(_("places of each event that qualify"), default=0)
    standard = models.CharField(
        _("standard that qualifies"), max_length=40, blank=True, help_text=_("the name of a standard of this meet")
    )

    class Meta:
        verbose_name = _("next meet")
        verbose_name_plural = _("next meets")

    def __str__(self) -> str:
        return self.name
