from django.db import models
from django.utils.translation import gettext_lazy as _

from meets.models.event import Event


class TypedSheet(models.Model):
    """A first typing of a field sheet that waits for its second; nothing of it is in the log yet."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="typed_sheets")
    draw_version = models.PositiveSmallIntegerField(_("start list version on the sheet"), default=1)
    cells = models.JSONField(_("what was typed, by bib"), default=dict)
    typed_by = models.CharField(_("typed by"), max_length=80)
    typed_at = models.DateTimeField(_("typed at"))
    checked_by = models.CharField(_("second typing by"), max_length=80, blank=True)
    checked_at = models.DateTimeField(_("second typing at"), null=True, blank=True)

    class Meta:
        verbose_name = _("typed sheet")
        verbose_name_plural = _("typed sheets")
        ordering = ["-typed_at"]

    def __str__(self) -> str:
        return f"{self.event}: {self.typed_at:%H:%M}"
