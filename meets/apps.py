from django.apps import AppConfig
from django.db import connections
from django.db.models.signals import post_migrate
from django.utils.translation import gettext_lazy as _


class MeetsConfig(AppConfig):
    name = "meets"
    verbose_name = _("Meets")

    def ready(self) -> None:
        from meets import checks  # noqa: F401  (registers the checks)

        post_migrate.connect(_guard_log, sender=self, dispatch_uid="guard_log")


def _guard_log(*, using: str, **kwargs: object) -> None:
    from meets.models.log_guard import guard_log

    guard_log(connections[using])
