import django.db.models.deletion
from django.db import migrations, models

import shopapi.accounts.models
from shopapi.core.tenancy import ShopKey


class Migration(migrations.Migration):
    dependencies = [
        ("accounts", "0004_quiet_hours_and_follow_ups"),
        ("customers", "0001_first"),
        ("dispatch", "0003_printout"),
        ("jobs", "0002_finding_again"),
    ]

    operations = [
        migrations.AddField(
            model_name="planrequest",
            name="driver",
            field=shopapi.accounts.models.ShopForeignKey(
                null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="accounts.member"
            ),
        ),
        migrations.AddField(
            model_name="run",
            name="legs",
            field=models.JSONField(default=list),
        ),
        migrations.AddField(
            model_name="stop",
            name="from_rig",
            field=shopapi.accounts.models.ShopForeignKey(
                null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="dispatch.rig"
            ),
        ),
        migrations.AddField(
            model_name="stop",
            name="lat",
            field=models.DecimalField(decimal_places=6, max_digits=9, null=True),
        ),
        migrations.AddField(
            model_name="stop",
            name="lon",
            field=models.DecimalField(decimal_places=6, max_digits=9, null=True),
        ),
        migrations.AddField(
            model_name="stop",
            name="place",
            field=models.CharField(blank=True, default="", max_length=120),
        ),
        migrations.AlterField(
            model_name="drivenleg",
            name="run",
            field=shopapi.accounts.models.ShopForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="driven", to="dispatch.run"
            ),
        ),
        migrations.AddConstraint(
            model_name="stop",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("lat__isnull", True), ("lon__isnull", True)),
                    models.Q(("lat__isnull", False), ("lon__isnull", False)),
                    _connector="OR",
                ),
                name="stop_has_both_coordinates_or_neither",
            ),
        ),
        ShopKey("PlanRequest", "driver"),
        ShopKey("Stop", "from_rig"),
    ]
