import django.db.models.deletion
from django.db import migrations, models

import shopapi.accounts.models
from shopapi.core.tenancy import ShopKey


class Migration(migrations.Migration):
    dependencies = [
        ("dispatch", "0004_road_replans"),
    ]

    operations = [
        migrations.AddField(
            model_name="printout",
            name="hand_over",
            field=shopapi.accounts.models.ShopForeignKey(
                null=True, on_delete=django.db.models.deletion.PROTECT, related_name="printouts", to="dispatch.handover"
            ),
        ),
        migrations.AlterField(
            model_name="printout",
            name="kind",
            field=models.CharField(max_length=9),
        ),
        ShopKey("Printout", "hand_over"),
    ]
