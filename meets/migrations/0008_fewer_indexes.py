"""Each entry of a phone was written into three indexes that nobody asks.

Two of them begin another one, and who brought an entry is only counted. They are dropped by name: on SQLite the tables
would be made anew otherwise.
"""

import django.db.models.deletion
from django.db import migrations, models

NAMES = {
    "meets_delivery_stream_id_b1c7de3d": ("meets_delivery", "stream_id"),
    "meets_delivery_brought_by_id_c6c312e6": ("meets_delivery", "brought_by_id"),
    "meets_logrow_event_id_e3fa1d6c": ("meets_logrow", "event_id"),
}


class Migration(migrations.Migration):
    dependencies = [("meets", "0007_publishing")]

    operations = [
        migrations.SeparateDatabaseAndState(
            database_operations=[
                migrations.RunSQL(
                    f"DROP INDEX IF EXISTS {name}", f"CREATE INDEX IF NOT EXISTS {name} ON {table} ({column})"
                )
                for name, (table, column) in NAMES.items()
            ],
            state_operations=[
                migrations.AlterField(
                    model_name="delivery",
                    name="stream",
                    field=models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="deliveries",
                        to="meets.stream",
                    ),
                ),
                migrations.AlterField(
                    model_name="delivery",
                    name="brought_by",
                    field=models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="brought",
                        to="meets.device",
                    ),
                ),
                migrations.AlterField(
                    model_name="logrow",
                    name="event",
                    field=models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="log",
                        to="meets.event",
                    ),
                ),
            ],
        )
    ]
