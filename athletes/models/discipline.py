from django.db import models
from django.utils.translation import gettext_lazy as _


class Discipline(models.TextChoices):
    """The two jumps of this product."""

    LONG_JUMP = "LJ", _("long jump")
    TRIPLE_JUMP = "TJ", _("triple jump")
