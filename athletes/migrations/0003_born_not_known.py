from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("athletes", "0002_public_names_and_sources")]

    operations = [
        migrations.AlterField(
            model_name="athlete",
            name="born",
            field=models.DateField(blank=True, null=True, verbose_name="date of birth"),
        ),
    ]
