import pkgutil

from django.db import migrations, models

import meets.migrations
from meets.models.log_guard import missing_triggers

missing_after_rebuild: list[list[str]] = []


def note_missing_triggers(apps, schema_editor):
    missing_after_rebuild.append(missing_triggers(schema_editor.connection))


class Migration(migrations.Migration):
    dependencies = [("meets", max(module.name for module in pkgutil.iter_modules(meets.migrations.__path__)))]
    operations = [
        migrations.AlterField("logrow", "by", models.CharField(max_length=120, blank=True)),
        migrations.RunPython(note_missing_triggers, migrations.RunPython.noop),
    ]
