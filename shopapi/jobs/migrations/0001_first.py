import django.contrib.postgres.fields
import django.db.models.deletion
import django.db.models.functions.datetime
from django.db import migrations, models

import shopapi.accounts.models
import shopapi.core.ids
import shopapi.jobs.rules
from shopapi.core.tenancy import ShopTable


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("accounts", "0001_first"),
        ("customers", "0001_first"),
        ("machines", "0001_first"),
    ]

    operations = [
        migrations.CreateModel(
            name="Job",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("number", models.CharField(max_length=20, null=True)),
                ("mark", models.CharField(blank=True, default="", max_length=20)),
                (
                    "stage",
                    models.CharField(
                        choices=[
                            ("intake", "intake"),
                            ("diagnosis", "diagnosis"),
                            ("repair", "repair"),
                            ("proving", "proving"),
                            ("ready", "ready"),
                            ("returned", "returned"),
                            ("closed", "closed"),
                            ("cancelled", "cancelled"),
                        ],
                        default=shopapi.jobs.rules.Stage["INTAKE"],
                        max_length=10,
                    ),
                ),
                ("promised_on", models.DateField(blank=True, null=True)),
                ("notes", models.TextField(blank=True, default="")),
                (
                    "waits_on",
                    django.contrib.postgres.fields.ArrayField(
                        base_field=models.CharField(max_length=10), blank=True, default=list, size=None
                    ),
                ),
                ("opened_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                (
                    "customer",
                    shopapi.accounts.models.ShopForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="jobs",
                        to="customers.customer",
                    ),
                ),
                (
                    "machine",
                    shopapi.accounts.models.ShopForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="jobs",
                        to="machines.machine",
                    ),
                ),
                (
                    "shop",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="accounts.shop"
                    ),
                ),
                (
                    "site",
                    shopapi.accounts.models.ShopForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="jobs",
                        to="customers.site",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Finding",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("words", models.TextField()),
                ("consequence", models.TextField(blank=True, default="")),
                (
                    "rank",
                    models.CharField(
                        choices=[("safety", "safety"), ("needed", "needed"), ("advised", "advised")],
                        max_length=8,
                    ),
                ),
                (
                    "decided",
                    models.CharField(
                        choices=[("open", "open"), ("accepted", "accepted"), ("declined", "declined")],
                        default=shopapi.jobs.rules.Decision["OPEN"],
                        max_length=8,
                    ),
                ),
                (
                    "found_by",
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
                    "job",
                    shopapi.accounts.models.ShopForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="findings", to="jobs.job"
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Complaint",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("words", models.TextField()),
                ("happens_when", models.TextField(blank=True, default="")),
                (
                    "shop",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="accounts.shop"
                    ),
                ),
                (
                    "taken_by",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
                    ),
                ),
                (
                    "job",
                    shopapi.accounts.models.ShopForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="complaints", to="jobs.job"
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.AddIndex(
            model_name="job",
            index=models.Index(fields=["shop", "stage"], name="job_by_stage"),
        ),
        migrations.AddConstraint(
            model_name="job",
            constraint=models.UniqueConstraint(fields=("shop", "number"), name="one_job_per_number"),
        ),
        ShopTable("Job", synced_as="job"),
        ShopTable("Complaint", synced_as="complaint", append_only=True),
        ShopTable("Finding", synced_as="finding"),
    ]
