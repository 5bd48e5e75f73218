"""What a person saw when a form was opened: a form is refused once what it would change stands otherwise."""

import json
from collections.abc import Callable, Mapping
from functools import wraps
from typing import TypeVar

from django import forms
from django.db import models, transaction
from django.http import HttpRequest, HttpResponse
from django.utils.functional import cached_property
from django.utils.translation import gettext as _

Standing = Mapping[str, str]
Row = TypeVar("Row", bound=models.Model)


class Seen:
    """For a form: a hidden field keeps what stood when the page was opened, and it must still stand when it is sent.

    `standing` names what the form changes and how it stands. A request that says nothing of what was seen is not
    compared; every page sends it.
    """

    fields: dict[str, forms.Field]
    overtaken = False
    # The address where the form is opened anew; empty where it is the page's own.
    anew = ""

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["seen"] = forms.CharField(
            required=False, widget=forms.HiddenInput, initial=lambda: json.dumps(self.stands, ensure_ascii=False)
        )

    @cached_property
    def stands(self) -> dict[str, str]:
        """What stands now, read once: before what was typed is written into anything."""
        return dict(self.standing())

    def standing(self) -> Standing:
        raise NotImplementedError

    def overtaken_by(self, changed: Standing) -> str:
        """The refusal in words; `changed` is what stands otherwise than it was seen."""
        now = "; ".join(f"{name}: {value or _('empty')}" for name, value in changed.items())
        return _("Somebody has changed this since you opened the page. Nothing of yours is stored. %(now)s.") % {
            "now": now
        }

    def clean(self) -> dict[str, object]:
        cleaned = super().clean()
        cleaned = self.cleaned_data if cleaned is None else cleaned
        seen = _read(cleaned.pop("seen", ""))
        if seen is not None and seen != self.stands:
            changed = {name: value for name, value in self.stands.items() if seen.get(name) != value}
            changed |= {name: "" for name in seen if name not in self.stands}
            if changed := self.concerning(changed):
                self.overtaken = True
                self.add_error(None, self.overtaken_by(changed))
        return cleaned

    def concerning(self, changed: Standing) -> Standing:
        """Of what stands otherwise, what matters to this form."""
        return changed


def _read(text: str) -> Standing | None:
    try:
        found = json.loads(text)
    except ValueError:
        return None
    return {str(k): str(v) for k, v in found.items()} if isinstance(found, dict) else {}


class SeenModel(Seen):
    """For the form of a model: every field of it as it is stored, by its label. A new one stands nowhere yet."""

    def standing(self) -> Standing:
        if self.instance.pk is None:
            return {}
        return {
            str(field.label or name): str(_shown(field, self.get_initial_for_field(field, name)))
            for name, field in self.fields.items()
            if not field.widget.is_hidden
        }


def _shown(field: forms.Field, value: object) -> object:
    """A value as the form writes it: the words of a choice, else the text."""
    value = field.prepare_value(value)
    choices = dict(getattr(field, "choices", None) or ()) if not isinstance(field, forms.ModelChoiceField) else {}
    words = _("yes") if value is True else _("no") if value is False else choices.get(value, value)
    return "" if words is None else value if "<" in str(words) else words


def one_at_a_time(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """What a form compares and what it then stores is one transaction; a page that is only read takes none."""

    @wraps(view)
    def wrapped(request: HttpRequest, *args, **kwargs) -> HttpResponse:
        if request.method != "POST":
            return view(request, *args, **kwargs)
        with transaction.atomic():
            return view(request, *args, **kwargs)

    return wrapped


def held(request: HttpRequest, found: Row) -> Row:
    """Where something is sent: the row as it stands now, kept from others until the transaction ends."""
    if request.method != "POST":
        return found
    return type(found)._default_manager.select_for_update(of=("self",), no_key=True).get(pk=found.pk)
