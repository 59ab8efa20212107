from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("accounts", "0002_week_and_overtime"),
    ]

    operations = [
        migrations.AddField(
            model_name="shop",
            name="clock_hours",
            field=models.PositiveSmallIntegerField(default=10),
        ),
    ]
