import django_filters
import django_tables2 as tables
from django.db.models import Q
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext_lazy as _

from athletes.models import School


class SchoolsFilter(django_filters.FilterSet):
    q = django_filters.CharFilter(method="search", label=_("Name or code"))

    class Meta:
        model = School
        fields = ()

    def search(self, queryset, _name, value):
        return queryset.filter(Q(name__icontains=value) | Q(code__icontains=value))


class SchoolsTable(tables.Table):
    code = tables.Column(verbose_name=_("Code"), attrs={"td": {"class": "nowrap"}})
    name = tables.Column(verbose_name=_("School"), attrs={"td": {"class": "lead"}})
    contact_email = tables.Column(verbose_name=_("Contact"), default=_("no address yet"))
    entry_count = tables.Column(
        verbose_name=_("Entries in this meet"), attrs={"td": {"class": "figures"}, "th": {"class": "figures"}}
    )

    class Meta:
        attrs = {"class": "stack"}
        orderable = False

    def __init__(self, *args, meet, **kwargs):
        super().__init__(*args, **kwargs)
        self.meet = meet

    def render_name(self, record):
        address = reverse("desk:school", args=[self.meet.slug, record.pk])
        return format_html('<a class="row" href="{}">{}</a>', address, record.name)
