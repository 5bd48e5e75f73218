from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('meets', '0004_phones'),
    ]

    operations = [
        migrations.AddField(
            model_name='stream',
            name='upto',
            field=models.PositiveIntegerField(default=0),
        ),
    ]
