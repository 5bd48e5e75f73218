import uuid

from django.db import models
from django.utils.translation import gettext_lazy as _


class ServerEpoch(models.Model):
    """A life of this database; the latest row counts. A restored backup begins a new one, and phones send again."""

    epoch = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    begun_at = models.DateTimeField(_("begun"))

    class Meta:
        verbose_name = _("server epoch")
        verbose_name_plural = _("server epochs")
        ordering = ["begun_at"]
        get_latest_by = "begun_at"

    def __str__(self) -> str:
        return str(self.epoch)
