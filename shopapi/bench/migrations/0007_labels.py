import django.db.models.deletion
import django.db.models.functions.datetime
from django.db import migrations, models

import shopapi.accounts.models
import shopapi.core.ids
import shopapi.core.tenancy


class Migration(migrations.Migration):
    dependencies = [
        ("accounts", "0018_no_bypass"),
        ("bench", "0006_readings"),
        ("documents", "0001_first"),
        ("jobs", "0007_safety_item"),
    ]

    operations = [
        migrations.CreateModel(
            name="LabelSheet",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("kind", models.CharField(choices=[("bags", "bags"), ("safety", "safety")], max_length=6)),
                ("first", models.PositiveSmallIntegerField(default=1)),
                ("count", models.PositiveSmallIntegerField(default=12)),
                (
                    "state",
                    models.CharField(
                        choices=[("waiting", "waiting"), ("ready", "ready"), ("failed", "failed")],
                        default="waiting",
                        max_length=7,
                    ),
                ),
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
                    "job",
                    shopapi.accounts.models.ShopForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="label_sheets", to="jobs.job"
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
        shopapi.core.tenancy.ShopTable(
            model="LabelSheet",
            synced_as="label_sheet",
        ),
        migrations.AddConstraint(
            model_name="labelsheet",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("state", "ready"), _negated=True), ("document__isnull", False), _connector="OR"
                ),
                name="ready_label_sheet_has_a_document",
            ),
        ),
    ]
