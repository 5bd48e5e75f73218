from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class MeetsConfig(AppConfig):
    name = "meets"
    verbose_name = _("Meets")
