import django.contrib.postgres.fields
import django.db.models.deletion
import django.db.models.functions.datetime
from django.db import migrations, models

import shopapi.accounts.models
import shopapi.core.ids
import shopapi.dispatch.models
from shopapi.core.tenancy import ShopTable


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("accounts", "0003_clock_hours"),
        ("customers", "0001_first"),
        ("jobs", "0001_first"),
        ("machines", "0002_machine_size"),
        ("quotes", "0002_line_operation"),
    ]

    operations = [
        migrations.CreateModel(
            name="CalendarFeed",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("digest", models.CharField(max_length=64)),
                ("revoked_at", models.DateTimeField(null=True)),
                (
                    "member",
                    shopapi.accounts.models.ShopForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="calendars", to="accounts.member"
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
            name="PlanRequest",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("days", django.contrib.postgres.fields.ArrayField(base_field=models.DateField(), size=None)),
                ("seed", models.PositiveIntegerField()),
                ("seconds", models.PositiveSmallIntegerField()),
                ("from_now", models.BooleanField(default=False)),
                ("cause", models.CharField(default="asked", max_length=9)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("waiting", "waiting"),
                            ("running", "running"),
                            ("done", "done"),
                            ("failed", "failed"),
                            ("cancelled", "cancelled"),
                        ],
                        default="waiting",
                        max_length=9,
                    ),
                ),
                ("permille", models.PositiveSmallIntegerField(default=0)),
                ("answer", models.JSONField(null=True)),
                ("error", models.TextField(blank=True, default="")),
                ("basis", models.JSONField(default=dict)),
                ("taken_at", models.DateTimeField(null=True)),
                (
                    "asked_by",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="accounts.member"
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
            name="Rig",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("name", models.CharField(max_length=120)),
                ("crew", models.PositiveSmallIntegerField()),
                ("payload_kg", models.PositiveIntegerField()),
                ("deck", models.JSONField()),
                ("trailer", models.JSONField(null=True)),
                ("truck", models.JSONField(null=True)),
                ("winch", models.BooleanField(default=False)),
                ("ramp_length_cm", models.PositiveIntegerField(null=True)),
                ("ramp_full_width", models.BooleanField(default=False)),
                ("straps", models.PositiveSmallIntegerField(null=True)),
                ("home_lat", models.DecimalField(decimal_places=6, max_digits=9, null=True)),
                ("home_lon", models.DecimalField(decimal_places=6, max_digits=9, null=True)),
                ("shift_opens", models.CharField(max_length=5)),
                ("shift_closes", models.CharField(max_length=5)),
                ("breaks", models.JSONField(default=list)),
                ("active", models.BooleanField(default=True)),
                ("out_at", models.DateTimeField(null=True)),
                ("out_note", models.TextField(blank=True, default="")),
                (
                    "driver",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="rigs",
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
            name="Run",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("day", models.DateField()),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("planned", "planned"),
                            ("locked", "locked"),
                            ("driving", "driving"),
                            ("done", "done"),
                            ("cancelled", "cancelled"),
                        ],
                        default="planned",
                        max_length=9,
                    ),
                ),
                ("leaves_at", models.DateTimeField(null=True)),
                ("home_at", models.DateTimeField(null=True)),
                ("started_at", models.DateTimeField(null=True)),
                ("ended_at", models.DateTimeField(null=True)),
                ("metres", models.PositiveIntegerField(null=True)),
                ("drive_seconds", models.PositiveIntegerField(null=True)),
                ("cautions", models.JSONField(default=list)),
                ("margins", models.JSONField(default=list)),
                ("decks", models.JSONField(default=list)),
                (
                    "driver",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="runs",
                        to="accounts.member",
                    ),
                ),
                (
                    "plan",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="runs",
                        to="dispatch.planrequest",
                    ),
                ),
                (
                    "rig",
                    shopapi.accounts.models.ShopForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="runs", to="dispatch.rig"
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
            name="Stop",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("kind", models.CharField(max_length=6)),
                ("windows", models.JSONField(default=list)),
                ("service_minutes", models.PositiveSmallIntegerField(null=True)),
                (
                    "needs",
                    django.contrib.postgres.fields.ArrayField(
                        base_field=models.CharField(max_length=10), default=list, size=None
                    ),
                ),
                ("priority", models.CharField(default="usual", max_length=5)),
                ("earliest_on", models.DateField(null=True)),
                ("promised_on", models.DateField(null=True)),
                ("wait_until", models.DateField(null=True)),
                ("by_daylight", models.BooleanField(default=False)),
                ("notes", models.TextField(blank=True, default="")),
                ("pin_at", models.DateTimeField(null=True)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("asked", "asked"),
                            ("planned", "planned"),
                            ("driving", "driving"),
                            ("arrived", "arrived"),
                            ("left", "left"),
                            ("failed", "failed"),
                            ("dropped", "dropped"),
                        ],
                        default="asked",
                        max_length=8,
                    ),
                ),
                ("trip", models.PositiveSmallIntegerField(default=0)),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("arrives_from", models.DateTimeField(null=True)),
                ("arrives_at", models.DateTimeField(null=True)),
                ("arrives_to", models.DateTimeField(null=True)),
                ("leaves_at", models.DateTimeField(null=True)),
                ("told_from", models.DateTimeField(null=True)),
                ("told_to", models.DateTimeField(null=True)),
                ("told_at", models.DateTimeField(null=True)),
                ("arrived_at", models.DateTimeField(null=True)),
                ("left_at", models.DateTimeField(null=True)),
                ("failure", models.CharField(blank=True, default="", max_length=17)),
                ("failure_note", models.TextField(blank=True, default="")),
                ("failed_at", models.DateTimeField(null=True)),
                (
                    "again_of",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, related_name="again", to="dispatch.stop"
                    ),
                ),
                (
                    "job",
                    shopapi.accounts.models.ShopForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="stops", to="jobs.job"
                    ),
                ),
                (
                    "pin_after",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="dispatch.stop"
                    ),
                ),
                (
                    "pin_rig",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="dispatch.rig"
                    ),
                ),
                (
                    "run",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, related_name="stops", to="dispatch.run"
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
                        on_delete=django.db.models.deletion.PROTECT, related_name="stops", to="customers.site"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="HandOver",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("kind", models.CharField(max_length=6)),
                ("at", models.DateTimeField()),
                ("condition", models.JSONField(default=list)),
                ("meter_doubt", models.CharField(blank=True, default="", max_length=8)),
                ("keys", models.CharField(blank=True, default="", max_length=120)),
                ("fuel", models.CharField(default="unknown", max_length=8)),
                ("accessories", models.TextField(blank=True, default="")),
                ("runs", models.BooleanField(null=True)),
                (
                    "made_safe",
                    django.contrib.postgres.fields.ArrayField(
                        base_field=models.CharField(max_length=60), default=list, size=None
                    ),
                ),
                (
                    "as_left",
                    django.contrib.postgres.fields.ArrayField(
                        base_field=models.CharField(max_length=60), default=list, size=None
                    ),
                ),
                (
                    "acknowledged",
                    django.contrib.postgres.fields.ArrayField(base_field=models.TextField(), default=list, size=None),
                ),
                ("amount_due_minor", models.BigIntegerField(null=True)),
                ("signer_name", models.CharField(blank=True, default="", max_length=120)),
                ("digest", models.CharField(max_length=64, null=True)),
                ("matches", models.BooleanField(null=True)),
                (
                    "job",
                    shopapi.accounts.models.ShopForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="hand_overs", to="jobs.job"
                    ),
                ),
                (
                    "member",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="accounts.member"
                    ),
                ),
                (
                    "reading",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="machines.meterreading",
                    ),
                ),
                (
                    "shop",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="accounts.shop"
                    ),
                ),
                (
                    "signature",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="quotes.signature"
                    ),
                ),
                (
                    "stop",
                    shopapi.accounts.models.ShopForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="hand_overs", to="dispatch.stop"
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="DrivenLeg",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("from_lat", models.DecimalField(decimal_places=6, max_digits=9)),
                ("from_lon", models.DecimalField(decimal_places=6, max_digits=9)),
                ("to_lat", models.DecimalField(decimal_places=6, max_digits=9)),
                ("to_lon", models.DecimalField(decimal_places=6, max_digits=9)),
                ("left_at", models.DateTimeField()),
                ("seconds", models.PositiveIntegerField()),
                (
                    "shop",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="accounts.shop"
                    ),
                ),
                (
                    "run",
                    shopapi.accounts.models.ShopForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="legs", to="dispatch.run"
                    ),
                ),
                (
                    "stop",
                    shopapi.accounts.models.ShopForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="dispatch.stop"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Yard",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("lat", models.DecimalField(decimal_places=6, max_digits=9, null=True)),
                ("lon", models.DecimalField(decimal_places=6, max_digits=9, null=True)),
                ("opens", models.CharField(max_length=5)),
                ("closes", models.CharField(max_length=5)),
                ("loading_minutes", models.PositiveSmallIntegerField()),
                ("pickup_minutes", models.PositiveSmallIntegerField()),
                ("return_minutes", models.PositiveSmallIntegerField()),
                ("visit_minutes", models.PositiveSmallIntegerField()),
                ("speed_kmh", models.PositiveSmallIntegerField(null=True)),
                ("trailer_percent", models.PositiveSmallIntegerField()),
                ("turn_in_minutes", models.PositiveSmallIntegerField()),
                ("tongue_low_permille", models.PositiveSmallIntegerField()),
                ("tongue_high_permille", models.PositiveSmallIntegerField()),
                ("least_tie_downs", models.PositiveSmallIntegerField()),
                ("learned", models.JSONField(default=shopapi.dispatch.models.nothing_learned)),
                (
                    "shop",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="accounts.shop"
                    ),
                ),
            ],
        ),
        migrations.AddConstraint(
            model_name="planrequest",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("state", "done"), _negated=True), ("answer__isnull", False), _connector="OR"
                ),
                name="done_planning_has_an_answer",
            ),
        ),
        migrations.AddConstraint(
            model_name="rig",
            constraint=models.CheckConstraint(condition=models.Q(("payload_kg__gt", 0)), name="rig_carries_something"),
        ),
        migrations.AddConstraint(
            model_name="rig",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("home_lat__isnull", True), ("home_lon__isnull", True)),
                    models.Q(("home_lat__isnull", False), ("home_lon__isnull", False)),
                    _connector="OR",
                ),
                name="rig_home_has_both_coordinates_or_neither",
            ),
        ),
        migrations.AddIndex(
            model_name="run",
            index=models.Index(fields=["shop", "day"], name="run_by_day"),
        ),
        migrations.AddConstraint(
            model_name="run",
            constraint=models.UniqueConstraint(
                condition=models.Q(("state__in", ["planned", "locked", "driving"])),
                fields=("shop", "rig", "day"),
                name="one_live_run_per_rig_and_day",
            ),
        ),
        migrations.AddIndex(
            model_name="stop",
            index=models.Index(fields=["shop", "state"], name="stop_by_state"),
        ),
        migrations.AddConstraint(
            model_name="stop",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("state", "failed"), _negated=True),
                    models.Q(models.Q(("failure", ""), _negated=True), ("failed_at__isnull", False)),
                    _connector="OR",
                ),
                name="failed_stop_has_a_reason_and_a_time",
            ),
        ),
        migrations.AddConstraint(
            model_name="stop",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("state__in", ["planned", "driving"]), _negated=True),
                    ("run__isnull", False),
                    _connector="OR",
                ),
                name="planned_stop_is_on_a_run",
            ),
        ),
        migrations.AddConstraint(
            model_name="drivenleg",
            constraint=models.UniqueConstraint(fields=("shop", "run", "stop"), name="one_leg_to_a_stop_of_a_run"),
        ),
        migrations.AddConstraint(
            model_name="yard",
            constraint=models.UniqueConstraint(fields=("shop",), name="one_yard_a_shop"),
        ),
        migrations.AddConstraint(
            model_name="yard",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("lat__isnull", True), ("lon__isnull", True)),
                    models.Q(("lat__isnull", False), ("lon__isnull", False)),
                    _connector="OR",
                ),
                name="yard_has_both_coordinates_or_neither",
            ),
        ),
        ShopTable("Yard", synced_as="yard"),
        ShopTable("Rig", synced_as="rig"),
        ShopTable("PlanRequest", synced_as="plan_request"),
        ShopTable("Run", synced_as="run"),
        ShopTable("Stop", synced_as="stop"),
        ShopTable("HandOver", synced_as="hand_over", append_only=True),
        ShopTable("DrivenLeg", append_only=True),
        ShopTable("CalendarFeed"),
    ]
