import django.db.models.deletion
import django.db.models.functions.datetime
from django.db import migrations, models

import shopapi.accounts.models
import shopapi.core.ids
from shopapi.accounts.migrations._functions import INVITATION_FUNCTION
from shopapi.core.tenancy import ShopTable


class Migration(migrations.Migration):
    dependencies = [
        ("accounts", "0008_sign_in_names"),
    ]

    operations = [
        migrations.CreateModel(
            name="Invitation",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("name", models.CharField(max_length=120)),
                ("email", models.CharField(max_length=254)),
                ("sign_in", models.CharField(max_length=254)),
                (
                    "role",
                    models.CharField(
                        choices=[("owner", "owner"), ("office", "office"), ("mechanic", "mechanic")], max_length=10
                    ),
                ),
                ("may_see_cost", models.BooleanField(default=False)),
                ("token_hash", models.CharField(max_length=64, unique=True)),
                ("expires_at", models.DateTimeField()),
                ("accepted_at", models.DateTimeField(null=True)),
                ("withdrawn_at", models.DateTimeField(null=True)),
                (
                    "created_by",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
                    ),
                ),
                (
                    "device",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.device",
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
                    models.UniqueConstraint(
                        fields=("shop", "sign_in"),
                        condition=models.Q(("accepted_at", None), ("withdrawn_at", None)),
                        name="one_open_invitation_per_person",
                    ),
                ],
            },
        ),
        ShopTable("Invitation"),
        migrations.RunSQL(INVITATION_FUNCTION, "DROP FUNCTION shop_of_invitation(text)", elidable=False),
    ]
