from django import forms
from django.utils.translation import gettext_lazy as _

from athletes.models import School
from meets.desk.schools import reads
from meets.entries.seen import SeenModel


class SchoolForm(SeenModel, forms.ModelForm):
    class Meta:
        model = School
        fields = ("name", "code", "contact_email")
        labels = {"name": _("Name"), "code": _("Code"), "contact_email": _("Contact's e-mail address")}
        help_texts = {
            "code": _("Short, at most 8 letters or digits; stands on sheets and in entry files."),
            "contact_email": _("Where results will go. Shown to nobody else."),
        }
        widgets = {"code": forms.TextInput(attrs={"class": "short", "autocapitalize": "characters"})}

    def clean_code(self) -> str:
        code = self.cleaned_data["code"].strip().upper()
        stored = self.initial.get("code", code)
        if code == stored.upper():
            return stored
        if self.instance.pk and reads.is_in_a_result(self.instance):
            says = _(
                "Results with the code %(code)s are published, and team points are added up by it: it stays. "
                "The name can be changed."
            )
            raise forms.ValidationError(says % {"code": stored})
        return code
