import django.contrib.postgres.fields
import django.db.models.deletion
import django.db.models.functions.datetime
from django.db import migrations, models

import shopapi.accounts.models
import shopapi.core.ids
import shopapi.jobs.rules
import shopapi.quotes.models
from shopapi.core.tenancy import ShopTable


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("accounts", "0001_first"),
        ("documents", "0001_first"),
        ("jobs", "0001_first"),
    ]

    operations = [
        migrations.CreateModel(
            name="Quote",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("number", models.CharField(max_length=20, null=True)),
                ("mark", models.CharField(blank=True, default="", max_length=20)),
                ("kind", models.CharField(choices=[("first", "first"), ("added", "added")], max_length=5)),
                ("revision", models.PositiveIntegerField(default=1)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("draft", "draft"),
                            ("offered", "offered"),
                            ("decided", "decided"),
                            ("lapsed", "lapsed"),
                            ("replaced", "replaced"),
                            ("withdrawn", "withdrawn"),
                        ],
                        default="draft",
                        max_length=9,
                    ),
                ),
                ("basis", models.JSONField()),
                ("discount", models.JSONField(default=shopapi.quotes.models.no_discount)),
                ("note", models.TextField(blank=True, default="")),
                ("valid_until", models.DateField(null=True)),
                ("offered_at", models.DateTimeField(null=True)),
                ("offer_digest", models.CharField(max_length=64, null=True)),
                ("shown", models.JSONField(null=True)),
                ("totals", models.JSONField(null=True)),
                ("paper_state", models.CharField(default="none", max_length=7)),
                ("paper_reason", models.TextField(null=True)),
                (
                    "job",
                    shopapi.accounts.models.ShopForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="quotes", to="jobs.job"
                    ),
                ),
                (
                    "paper",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="documents.document",
                    ),
                ),
                (
                    "replaces",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="replaced_by",
                        to="quotes.quote",
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
            name="Line",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                (
                    "decided",
                    models.CharField(
                        choices=[("open", "open"), ("accepted", "accepted"), ("declined", "declined")],
                        default=shopapi.jobs.rules.Decision["OPEN"],
                        max_length=8,
                    ),
                ),
                ("position", models.IntegerField()),
                ("kind", models.CharField(max_length=8)),
                ("rank", models.CharField(max_length=8)),
                ("words", models.TextField()),
                ("included", models.TextField(blank=True, default="")),
                ("work", models.CharField(max_length=40, null=True)),
                ("hours", models.DecimalField(decimal_places=6, max_digits=10, null=True)),
                ("rate_key", models.CharField(max_length=40, null=True)),
                ("member_id", models.UUIDField(null=True)),
                ("quantity", models.DecimalField(decimal_places=6, max_digits=11, null=True)),
                ("unit_cost_minor", models.BigIntegerField(null=True)),
                ("unit_price_minor", models.BigIntegerField(null=True)),
                ("asked_unit_minor", models.BigIntegerField(null=True)),
                ("core_minor", models.BigIntegerField(null=True)),
                ("distance", models.DecimalField(decimal_places=6, max_digits=11, null=True)),
                ("zone_key", models.CharField(max_length=40, null=True)),
                ("fixed_minor", models.BigIntegerField(null=True)),
                ("discount_percent", models.DecimalField(decimal_places=6, max_digits=9, null=True)),
                ("discount_minor", models.BigIntegerField(null=True)),
                ("taxed", models.BooleanField(null=True)),
                (
                    "finding",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="jobs.finding",
                    ),
                ),
                (
                    "shop",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="accounts.shop"
                    ),
                ),
                (
                    "quote",
                    shopapi.accounts.models.ShopForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="lines", to="quotes.quote"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Signature",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("strokes", models.JSONField()),
                ("width", models.PositiveIntegerField()),
                ("height", models.PositiveIntegerField()),
                ("signer_name", models.CharField(max_length=120)),
                ("digest", models.CharField(max_length=64)),
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
            name="Approval",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("revision", models.PositiveIntegerField()),
                ("how", models.CharField(max_length=9)),
                ("decided_by_name", models.CharField(max_length=120)),
                ("decided_at", models.DateTimeField()),
                ("zone", models.CharField(max_length=60)),
                ("received_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("digest", models.CharField(max_length=64)),
                ("matches", models.BooleanField()),
                (
                    "accepted_ids",
                    django.contrib.postgres.fields.ArrayField(base_field=models.UUIDField(), size=None),
                ),
                (
                    "declined_ids",
                    django.contrib.postgres.fields.ArrayField(base_field=models.UUIDField(), size=None),
                ),
                ("accepted_total_minor", models.BigIntegerField(null=True)),
                ("note", models.TextField(blank=True, default="")),
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
                    "member",
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
                (
                    "quote",
                    shopapi.accounts.models.ShopForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="approvals",
                        to="quotes.quote",
                    ),
                ),
                (
                    "signature",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="quotes.signature",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.AddIndex(
            model_name="quote",
            index=models.Index(fields=["shop", "state", "valid_until"], name="quote_by_state"),
        ),
        migrations.AddConstraint(
            model_name="quote",
            constraint=models.UniqueConstraint(
                fields=("shop", "number", "revision"), name="one_quote_per_number_and_revision"
            ),
        ),
        migrations.AddConstraint(
            model_name="quote",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("state__in", ["draft", "withdrawn"]),
                    models.Q(
                        ("number__isnull", False),
                        ("offer_digest__isnull", False),
                        ("offered_at__isnull", False),
                    ),
                    _connector="OR",
                ),
                name="offered_quote_has_time_digest_and_number",
            ),
        ),
        migrations.AddIndex(
            model_name="line",
            index=models.Index(fields=["shop", "quote", "position"], name="line_by_quote"),
        ),
        ShopTable("Quote", synced_as="quote"),
        ShopTable("Line", synced_as="quote_line"),
        ShopTable("Signature", synced_as="signature", append_only=True),
        ShopTable("Approval", synced_as="approval", append_only=True),
    ]
