import django.contrib.postgres.fields
import django.db.models.deletion
import django.db.models.functions.datetime
from django.db import migrations, models

import shopapi.accounts.models
import shopapi.core.ids
from shopapi.core.tenancy import ShopTable


class Migration(migrations.Migration):
    dependencies = [
        ("accounts", "0003_clock_hours"),
        ("dispatch", "0002_plan_rounds"),
        ("documents", "0001_first"),
    ]

    operations = [
        migrations.CreateModel(
            name="Printout",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("kind", models.CharField(max_length=4)),
                (
                    "machine_ids",
                    django.contrib.postgres.fields.ArrayField(base_field=models.UUIDField(), default=list, size=None),
                ),
                ("state", models.CharField(default="waiting", max_length=7)),
                ("reason", models.TextField(blank=True, default="")),
                (
                    "document",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="documents.document",
                    ),
                ),
                (
                    "run",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="printouts",
                        to="dispatch.run",
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
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("state", "ready"), _negated=True), ("document__isnull", False), _connector="OR"
                        ),
                        name="ready_printout_has_a_document",
                    )
                ],
            },
        ),
        ShopTable("Printout", synced_as="printout"),
    ]
