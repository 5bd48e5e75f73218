import django_filters
from django.db.models import Q, QuerySet
from django.utils.translation import gettext_lazy as _

from meets.entries import reads
from meets.models import Entry, Meet


class EntryFilter(django_filters.FilterSet):
    """Entries by event, school and a part of the name or the bib."""

    event = django_filters.ModelChoiceFilter(label=_("Event"), empty_label=_("all events"))
    school = django_filters.ModelChoiceFilter(
        label=_("School"), field_name="athlete__school", empty_label=_("all schools")
    )
    q = django_filters.CharFilter(label=_("Name or bib"), method="by_words")

    class Meta:
        model = Entry
        fields = ("event", "school", "q")

    def __init__(self, *args, meet: Meet, **kwargs):
        super().__init__(*args, **kwargs)
        self.filters["event"].queryset = reads.events_of_meet(meet)
        self.filters["school"].queryset = reads.schools_entered(meet)

    def by_words(self, entries: QuerySet[Entry], _name: str, text: str) -> QuerySet[Entry]:
        for word in text.split():
            entries = entries.filter(
                Q(athlete__first_name__icontains=word) | Q(athlete__last_name__icontains=word) | Q(bib__iexact=word)
            )
        return entries
