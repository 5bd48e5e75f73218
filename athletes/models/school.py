from django.db import models
from django.db.models.functions import Upper
from django.utils.translation import gettext_lazy as _


class School(models.Model):
    """A school that sends athletes. `code` is what entry files and sheets use."""

    code = models.CharField(_("code"), max_length=8)
    name = models.CharField(_("name"), max_length=80)
    contact_email = models.EmailField(_("contact's address"), blank=True)

    class Meta:
        verbose_name = _("school")
        verbose_name_plural = _("schools")
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                Upper("code"),
                name="school_code_unique",
                violation_error_message=_("Another school has this code."),
            )
        ]

    def __str__(self) -> str:
        return self.name
