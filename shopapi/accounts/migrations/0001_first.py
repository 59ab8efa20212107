import django.db.models.deletion
import django.db.models.functions.datetime
import django.db.models.functions.text
from django.conf import settings
from django.db import migrations, models

import shopapi.accounts.models
import shopapi.core.ids
from shopapi.accounts.migrations._functions import FUNCTIONS
from shopapi.core.tenancy import ShopTable


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("core", "0001_first"),
    ]

    operations = [
        migrations.CreateModel(
            name="Shop",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("name", models.CharField(max_length=120)),
                ("address", models.TextField(blank=True, default="")),
                ("phone", models.CharField(blank=True, default="", max_length=120)),
                ("email", models.CharField(blank=True, default="", max_length=120)),
                ("currency", models.CharField(max_length=3)),
                ("zone", models.CharField(max_length=60)),
                ("units", models.CharField(default="us", max_length=6)),
                ("paper", models.CharField(default="letter", max_length=6)),
                ("locale", models.CharField(default="en-US", max_length=20)),
                ("book", models.JSONField(default=dict)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
            ],
        ),
        migrations.CreateModel(
            name="User",
            fields=[
                ("password", models.CharField(max_length=128, verbose_name="password")),
                ("last_login", models.DateTimeField(blank=True, null=True, verbose_name="last login")),
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("email", models.CharField(max_length=254, unique=True)),
                ("is_active", models.BooleanField(default=True)),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        django.db.models.functions.text.Lower("email"), name="one_sign_in_per_email"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Member",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("name", models.CharField(max_length=120)),
                (
                    "role",
                    models.CharField(
                        choices=[("owner", "owner"), ("office", "office"), ("mechanic", "mechanic")],
                        max_length=10,
                    ),
                ),
                ("may_see_cost", models.BooleanField(default=False)),
                ("active", models.BooleanField(default=True)),
                (
                    "user",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="memberships",
                        to=settings.AUTH_USER_MODEL,
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
        migrations.CreateModel(
            name="Device",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("letter", models.CharField(max_length=8)),
                ("label", models.CharField(blank=True, default="", max_length=120)),
                ("build", models.CharField(blank=True, default="", max_length=120)),
                ("next_no", models.BigIntegerField(default=1)),
                ("skew_ms", models.BigIntegerField(default=0)),
                ("revoked_at", models.DateTimeField(null=True)),
                (
                    "member",
                    shopapi.accounts.models.ShopForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="devices",
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
        ),
        migrations.CreateModel(
            name="ApiToken",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("label", models.CharField(max_length=120)),
                ("digest", models.CharField(max_length=64, unique=True)),
                ("revoked_at", models.DateTimeField(null=True)),
                (
                    "member",
                    shopapi.accounts.models.ShopForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="tokens",
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
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="SignInTry",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("about", models.CharField(max_length=64)),
                ("at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
            ],
            options={
                "indexes": [models.Index(fields=["about", "at"], name="tries_about")],
            },
        ),
        migrations.AddConstraint(
            model_name="member",
            constraint=models.UniqueConstraint(fields=("shop", "user"), name="one_membership_per_user_and_shop"),
        ),
        migrations.AddConstraint(
            model_name="device",
            constraint=models.UniqueConstraint(fields=("shop", "letter"), name="one_letter_per_device"),
        ),
        ShopTable("Shop", synced_as="shop", shop_column="id"),
        ShopTable("Member", synced_as="member"),
        ShopTable("Device"),
        ShopTable("ApiToken"),
        migrations.RunSQL(FUNCTIONS, elidable=False),
    ]
