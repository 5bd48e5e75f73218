"""Who a result was published by, as everybody reads it."""

from django.contrib.auth.models import AbstractBaseUser
from django.utils.translation import gettext as _

from athletes.reading.names import tidy_text

LONGEST = 80


def signing(user: AbstractBaseUser) -> dict[str, str]:
    """The account, for the desk, and the name in the result: the person's full name, never what they sign in with."""
    name = tidy_text(user.get_full_name())[:LONGEST].strip()
    return {"by": user.get_username(), "signed": name or _("the organisers")}
