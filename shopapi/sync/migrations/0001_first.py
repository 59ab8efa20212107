import django.db.models.deletion
import django.db.models.functions.datetime
from django.db import migrations, models

import shopapi.accounts.models
import shopapi.core.ids
from shopapi.core.tenancy import ShopTable


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("accounts", "0001_first"),
    ]

    operations = [
        migrations.CreateModel(
            name="LoggedCommand",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("no", models.BigIntegerField()),
                ("name", models.CharField(max_length=40)),
                ("v", models.PositiveSmallIntegerField(default=1)),
                ("args", models.JSONField()),
                ("digest", models.CharField(max_length=64)),
                ("wall", models.DateTimeField()),
                ("mono_ms", models.BigIntegerField(default=0)),
                ("session", models.CharField(blank=True, default="", max_length=120)),
                ("skew_ms", models.BigIntegerField(default=0)),
                ("received_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                (
                    "status",
                    models.CharField(
                        choices=[
                            ("applied", "applied"),
                            ("held", "held"),
                            ("rejected", "rejected"),
                            ("duplicate", "duplicate"),
                        ],
                        max_length=9,
                    ),
                ),
                ("code", models.CharField(max_length=60, null=True)),
                ("words", models.TextField(null=True)),
                ("fields", models.JSONField(default=list)),
                ("waits_for", models.UUIDField(null=True)),
                ("seq", models.BigIntegerField(null=True)),
                (
                    "device",
                    shopapi.accounts.models.ShopForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="commands",
                        to="accounts.device",
                    ),
                ),
                (
                    "member",
                    shopapi.accounts.models.ShopForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="accounts.member"
                    ),
                ),
                (
                    "shop",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="accounts.shop"
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(
                        condition=models.Q(("waits_for__isnull", False)),
                        fields=["shop", "waits_for"],
                        name="command_waiting",
                    )
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("shop", "device", "no"), name="one_command_per_device_number")
                ],
            },
        ),
        ShopTable("LoggedCommand"),
    ]
