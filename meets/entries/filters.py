import django_filters
from django.utils.translation import gettext_lazy as _

from meets.entries import reads
from meets.models import Entry, Meet


class EntryFilter(django_filters.FilterSet):
    """Entries by event and school. Names are looked for by `WordsForm`: they may stand in no address."""

    event = django_filters.ModelChoiceFilter(label=_("Event"), empty_label=_("all events"))
    school = django_filters.ModelChoiceFilter(
        label=_("School"), field_name="athlete__school", empty_label=_("all schools")
    )

    class Meta:
        model = Entry
        fields = ("event", "school")

    def __init__(self, *args, meet: Meet, **kwargs):
        super().__init__(*args, **kwargs)
        self.filters["event"].queryset = reads.events_of_meet(meet)
        self.filters["school"].queryset = reads.schools_entered(meet)
