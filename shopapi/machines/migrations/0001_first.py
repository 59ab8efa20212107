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
        ("customers", "0001_first"),
    ]

    operations = [
        migrations.CreateModel(
            name="Machine",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("kind", models.CharField(max_length=120)),
                ("make", models.CharField(blank=True, default="", max_length=120)),
                ("model", models.CharField(blank=True, default="", max_length=120)),
                ("serial", models.CharField(blank=True, default="", max_length=120)),
                ("year", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("engine_make", models.CharField(blank=True, default="", max_length=120)),
                ("engine_model", models.CharField(blank=True, default="", max_length=120)),
                ("engine_serial", models.CharField(blank=True, default="", max_length=120)),
                ("tag", models.CharField(blank=True, default="", max_length=120)),
                ("notes", models.TextField(blank=True, default="")),
                ("archived", models.BooleanField(default=False)),
                (
                    "customer",
                    shopapi.accounts.models.ShopForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="machines",
                        to="customers.customer",
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
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="MeterReading",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("segment", models.PositiveIntegerField(default=1)),
                ("hours", models.DecimalField(decimal_places=2, max_digits=8)),
                ("read_on", models.DateField()),
                (
                    "machine",
                    shopapi.accounts.models.ShopForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="readings",
                        to="machines.machine",
                    ),
                ),
                (
                    "noted_by",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
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
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("hours__gte", 0)), name="meter_hours_are_not_negative")
                ],
            },
        ),
        ShopTable("Machine", synced_as="machine"),
        ShopTable("MeterReading", synced_as="meter_reading", append_only=True),
    ]
