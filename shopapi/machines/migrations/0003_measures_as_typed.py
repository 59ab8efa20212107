from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("machines", "0002_machine_size"),
    ]

    operations = [
        migrations.AddField(
            model_name="machine",
            name="clearance_typed",
            field=models.CharField(blank=True, default="", max_length=20),
        ),
        migrations.AddField(
            model_name="machine",
            name="height_typed",
            field=models.CharField(blank=True, default="", max_length=20),
        ),
        migrations.AddField(
            model_name="machine",
            name="length_typed",
            field=models.CharField(blank=True, default="", max_length=20),
        ),
        migrations.AddField(
            model_name="machine",
            name="mass_typed",
            field=models.CharField(blank=True, default="", max_length=20),
        ),
        migrations.AddField(
            model_name="machine",
            name="wheelbase_typed",
            field=models.CharField(blank=True, default="", max_length=20),
        ),
        migrations.AddField(
            model_name="machine",
            name="width_typed",
            field=models.CharField(blank=True, default="", max_length=20),
        ),
        # Devices hold rows of before: each is sent once more, with its new fields.
        migrations.RunSQL("UPDATE machines_machine SET mass_typed = ''", migrations.RunSQL.noop, elidable=True),
    ]
