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
            name="Customer",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("name", models.CharField(max_length=120)),
                ("person", models.CharField(blank=True, default="", max_length=120)),
                ("phone", models.CharField(blank=True, default="", max_length=120)),
                ("phone_digits", models.CharField(blank=True, default="", max_length=120)),
                ("email", models.CharField(blank=True, default="", max_length=120)),
                ("address", models.TextField(blank=True, default="")),
                ("notes", models.TextField(blank=True, default="")),
                ("tax_exempt", models.BooleanField(default=False)),
                ("exempt_reason", models.CharField(blank=True, default="", max_length=120)),
                ("archived", models.BooleanField(default=False)),
                (
                    "shop",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="accounts.shop"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Site",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("label", models.CharField(max_length=120)),
                ("address", models.TextField(blank=True, default="")),
                ("lat", models.DecimalField(decimal_places=6, max_digits=9, null=True)),
                ("lon", models.DecimalField(decimal_places=6, max_digits=9, null=True)),
                ("access_notes", models.TextField(blank=True, default="")),
                (
                    "customer",
                    shopapi.accounts.models.ShopForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sites",
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
        ),
        migrations.AddIndex(
            model_name="customer",
            index=models.Index(fields=["shop", "phone_digits"], name="customer_by_phone"),
        ),
        migrations.AddConstraint(
            model_name="site",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("lat__isnull", True), ("lon__isnull", True)),
                    models.Q(("lat__isnull", False), ("lon__isnull", False)),
                    _connector="OR",
                ),
                name="site_has_both_coordinates_or_neither",
            ),
        ),
        ShopTable("Customer", synced_as="customer"),
        ShopTable("Site", synced_as="site"),
    ]
