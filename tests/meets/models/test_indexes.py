"""Each entry of a phone is written into every index of two tables: one that nobody asks costs a page of the disk."""

import pytest
from django.db import connection

from meets.models import Delivery, LogRow


@pytest.mark.parametrize(
    ("model", "indexed"),
    [
        (Delivery, {("id",), ("stream_id", "seq"), ("event_id",)}),
        (LogRow, {("id",), ("event_id", "rev")}),
    ],
)
def test_no_index_that_another_one_begins_with(db, model, indexed):
    with connection.cursor() as cursor:
        found = connection.introspection.get_constraints(cursor, model._meta.db_table)
    asked = [one for one in found.values() if one["index"] or one["unique"] or one["primary_key"]]
    assert {tuple(one["columns"]) for one in asked} == indexed
