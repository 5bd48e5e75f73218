import pytest
from django.core.exceptions import ImproperlyConfigured
from django.db import transaction

from meets.models import LogRow
from tests.factories import LogRowFactory

CHANGES = {
    "save": lambda row: row.save(),
    "delete": lambda row: row.delete(),
    "update": lambda row: LogRow.objects.update(kind="left"),
    "delete all": lambda row: LogRow.objects.all().delete(),
    "bulk_update": lambda row: LogRow.objects.bulk_update([row], ["kind"]),
}


@pytest.mark.django_db
@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES)
def test_a_stored_row_is_neither_changed_nor_deleted(change):
    row = LogRowFactory()
    with pytest.raises(ImproperlyConfigured, match="add a row that supersedes it"), transaction.atomic():
        change(row)
    assert list(LogRow.objects.values_list("id", "kind")) == [(row.id, "checked_in")]
