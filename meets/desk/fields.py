"""Form fields for lengths as people say them and for times on the day of a meet."""

import re
from collections.abc import Sequence

from django import forms
from django.utils.translation import gettext_lazy as _

LENGTH = re.compile(r"([0-9]{1,3})(?:[.,]([0-9]{1,2}))? ?(m|ft|'|′)?", re.IGNORECASE)
HUNDREDTHS_OF_CM_IN_A_FOOT = 3048


def cm_from_text(text: str) -> int | None:
    """A length in cm from metres (`8`, `8.50`, `8,5 m`) or feet (`24 ft`, to the nearest cm); None if it is none."""
    found = LENGTH.fullmatch(text.strip())
    if found is None:
        return None
    hundredths = int(found[1]) * 100 + int((found[2] or "").ljust(2, "0") or 0)
    if (found[3] or "m").lower() == "m":
        return hundredths
    return (hundredths * HUNDREDTHS_OF_CM_IN_A_FOOT + 5000) // 10000


def metres(cm: int) -> str:
    """A length in metres, decimals only where there are some: 9, 9.75."""
    whole, rest = divmod(cm, 100)
    return f"{whole}.{rest:02d}" if rest else str(whole)


class MetresField(forms.CharField):
    """A length typed in metres, kept in cm."""

    default_error_messages = {
        "length": _("“%(value)s” is no length: metres are expected, for example 8 or 8.50."),
        "shortest": _("%(value)s is too short: at least %(shortest)s m is expected."),
        "longest": _("%(value)s is too long: at most %(longest)s m is expected."),
    }

    def __init__(self, *, shortest_cm: int = 0, longest_cm: int = 10_000, **kwargs):
        self.shortest_cm, self.longest_cm = shortest_cm, longest_cm
        kwargs.setdefault("widget", forms.TextInput(attrs={"class": "short", "inputmode": "decimal"}))
        super().__init__(**kwargs)

    def prepare_value(self, value):
        return metres(value) if isinstance(value, int) else value

    def to_python(self, value):
        text = super().to_python(value)
        if text in self.empty_values:
            return None
        cm = cm_from_text(text)
        if cm is None:
            raise forms.ValidationError(self.error_messages["length"], "length", {"value": text})
        if cm < self.shortest_cm:
            raise forms.ValidationError(
                self.error_messages["shortest"], "shortest", {"value": text, "shortest": metres(self.shortest_cm)}
            )
        if cm > self.longest_cm:
            raise forms.ValidationError(
                self.error_messages["longest"], "longest", {"value": text, "longest": metres(self.longest_cm)}
            )
        return cm

    def has_changed(self, initial, data):
        return super().has_changed(self.prepare_value(initial), data)


class BoardsField(forms.CharField):
    """Boards by their distance from the sand, typed in metres with spaces between; kept in cm, nearest first."""

    default_error_messages = {
        "board": _(
            "“%(value)s” is no board: its distance from the sand in metres is expected, for example 7 9 11 or 9.75."
        ),
    }

    def prepare_value(self, value):
        return boards_shown(value) if isinstance(value, list | tuple) else value

    def to_python(self, value):
        boards = set()
        for part in re.split(r"[\s;]+|,(?=\s)", super().to_python(value)):
            if not part or part.lower() == "m":
                continue
            cm = cm_from_text(part)
            if not cm or cm > 3000:
                raise forms.ValidationError(self.error_messages["board"], "board", {"value": part})
            boards.add(cm)
        return sorted(boards)

    def has_changed(self, initial, data):
        return super().has_changed(self.prepare_value(initial), data)


def boards_shown(boards_cm: Sequence[int]) -> str:
    return " ".join(metres(cm) for cm in boards_cm)


class DateInput(forms.DateInput):
    input_type = "date"

    def __init__(self, attrs=None):
        super().__init__({"class": "short date", **(attrs or {})}, format="%Y-%m-%d")


class TimeInput(forms.TimeInput):
    input_type = "time"

    def __init__(self, attrs=None):
        super().__init__({"class": "short", **(attrs or {})}, format="%H:%M")


class DateTimeInput(forms.DateTimeInput):
    input_type = "datetime-local"

    def __init__(self, attrs=None):
        super().__init__({"class": "short datetime", **(attrs or {})}, format="%Y-%m-%dT%H:%M")
