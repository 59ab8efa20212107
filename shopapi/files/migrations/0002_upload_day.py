import django.db.models.deletion
import django.db.models.functions.datetime
from django.db import migrations, models

import shopapi.core.ids
from shopapi.core.tenancy import ShopTable


class Migration(migrations.Migration):
    dependencies = [
        ("accounts", "0004_quiet_hours_and_follow_ups"),
        ("files", "0001_first"),
    ]

    operations = [
        migrations.CreateModel(
            name="UploadDay",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("day", models.DateField()),
                ("bytes", models.PositiveBigIntegerField(default=0)),
                (
                    "shop",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="accounts.shop"
                    ),
                ),
            ],
            options={
                "constraints": [models.UniqueConstraint(fields=("shop", "day"), name="one_count_of_bytes_per_day")],
            },
        ),
        ShopTable("UploadDay"),
    ]
