"""A form that changes the rules of a meet says first which changes no longer fit, and stores once that is agreed to."""

from collections.abc import Sequence

from django.utils.translation import gettext as _

from meets.desk.rules.misfits import Misfit


class Agreeing:
    """For a form: `ask_about` refuses until the box was ticked that stands under exactly this list."""

    misfits: Sequence[Misfit] = ()

    @property
    def agreement(self) -> str:
        """What that box sends."""
        return "; ".join(f"{m.owner} {m.rule} {m.wished} {m.holds}" for m in self.misfits)

    def ask_about(self, misfits: Sequence[Misfit]) -> None:
        self.misfits = misfits
        if misfits and self.data.get("agreed") != self.agreement:
            self.add_error(None, _("Changes that were made on purpose do not fit these rules:"))
