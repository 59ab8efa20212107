from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("dispatch", "0006_calendar_device"),
    ]

    operations = [
        migrations.AddField(
            model_name="rig",
            name="payload_typed",
            field=models.CharField(blank=True, default="", max_length=20),
        ),
        migrations.AddField(
            model_name="rig",
            name="ramp_length_typed",
            field=models.CharField(blank=True, default="", max_length=20),
        ),
        migrations.AddField(
            model_name="rig",
            name="strap_wll_kg",
            field=models.PositiveIntegerField(null=True),
        ),
        migrations.AddField(
            model_name="rig",
            name="strap_wll_typed",
            field=models.CharField(blank=True, default="", max_length=20),
        ),
        migrations.AddField(
            model_name="rig",
            name="straps_cross",
            field=models.BooleanField(default=False),
        ),
        # Devices hold rows of before: each is sent once more, with its new fields.
        migrations.RunSQL("UPDATE dispatch_rig SET payload_typed = ''", migrations.RunSQL.noop, elidable=True),
    ]
