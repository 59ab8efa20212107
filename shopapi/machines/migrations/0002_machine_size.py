from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("machines", "0001_first"),
    ]

    operations = [
        migrations.AddField(
            model_name="machine",
            name="clearance_cm",
            field=models.PositiveIntegerField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="machine",
            name="height_cm",
            field=models.PositiveIntegerField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="machine",
            name="length_cm",
            field=models.PositiveIntegerField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="machine",
            name="mass_kg",
            field=models.PositiveIntegerField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="machine",
            name="tie_points",
            field=models.PositiveSmallIntegerField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="machine",
            name="wheelbase_cm",
            field=models.PositiveIntegerField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="machine",
            name="width_cm",
            field=models.PositiveIntegerField(blank=True, null=True),
        ),
    ]
