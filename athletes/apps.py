from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class AthletesConfig(AppConfig):
    name = "athletes"
    verbose_name = _("Schools and athletes")
