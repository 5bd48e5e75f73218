from django.db import models
from django.utils.translation import gettext_lazy as _

from scoring.marks import Unit


class Meet(models.Model):
    """One day of jumping: its date, unit, rule set and age scheme. Single rules may be changed by the meet."""

    class Paper(models.TextChoices):
        A4 = "A4", "A4"
        LETTER = "letter", "Letter"

    class PublicNames(models.TextChoices):
        """How much of a pupil's name the public sees; less wherever an athlete's own setting says so."""

        FULL = "full", _("first name and surname")
        INITIAL = "initial", _("first name and initial")
        BIB = "bib", _("bib and school only")

    slug = models.SlugField(_("short name in addresses"), unique=True)
    name = models.CharField(_("name"), max_length=100)
    date = models.DateField(_("date"))
    venue = models.CharField(_("venue"), max_length=100, blank=True)
    time_zone = models.CharField(_("time zone"), max_length=40, default="Europe/London")
    unit = models.CharField(
        _("unit"),
        max_length=12,
        choices=[(Unit.CM.value, _("metres and centimetres")), (Unit.QUARTER_INCH.value, _("feet and inches"))],
        default=Unit.CM.value,
    )
    rule_set = models.CharField(_("rule set"), max_length=30, default="international")
    rule_changes = models.JSONField(
        _("rules changed by this meet"), default=dict, blank=True, help_text=_("field: value in its written form")
    )
    age_scheme = models.CharField(_("age groups"), max_length=30, default="uk-before-2026")
    age_date = models.DateField(_("date on which ages are taken"), null=True, blank=True)
    entry_deadline = models.DateTimeField(_("entries close"), null=True, blank=True)
    paper = models.CharField(_("paper"), max_length=8, choices=Paper.choices, default=Paper.A4)
    schools_in_match = models.PositiveSmallIntegerField(_("schools in the match"), null=True, blank=True)
    is_public = models.BooleanField(
        _("shown to the public"),
        default=False,
        help_text=_("Anybody who has the address sees start lists, the live board and published results."),
    )
    public_names = models.CharField(
        _("names shown to the public"), max_length=8, choices=PublicNames.choices, default=PublicNames.INITIAL
    )
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        verbose_name = _("meet")
        verbose_name_plural = _("meets")
        ordering = ["-date", "name"]

    def __str__(self) -> str:
        return self.name

    def delete(self, *args, **kwargs):
        """Refused with a sentence while any event of it has a log; every other way of deleting it is refused too."""
        if self.events.filter(log__isnull=False).exists():
            says = _("%(meet)s has a log and stays: what was recorded is never deleted.")
            raise models.ProtectedError(says % {"meet": self}, {self})
        return super().delete(*args, **kwargs)
