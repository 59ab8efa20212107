import django.db.models.deletion
import django.db.models.functions.datetime
from django.db import migrations, models

import shopapi.core.ids
from shopapi.core.tenancy import ShopTable


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("accounts", "0001_first"),
    ]

    operations = [
        migrations.CreateModel(
            name="Document",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("sha256", models.CharField(max_length=64)),
                ("size", models.PositiveIntegerField()),
                ("media_type", models.CharField(max_length=60)),
                (
                    "shop",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="accounts.shop"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("shop", "sha256"), name="equal_bytes_are_one_document")
                ],
            },
        ),
        ShopTable("Document"),
    ]
