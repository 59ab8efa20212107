import django.contrib.postgres.constraints
import django.contrib.postgres.fields.ranges
import django.db.models.deletion
import django.db.models.functions.datetime
from django.db import migrations, models

import shopapi.accounts.models
import shopapi.core.ids
import shopapi.labor.models
from shopapi.core.tenancy import ShopTable


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("accounts", "0003_clock_hours"),
        ("jobs", "0001_first"),
    ]

    operations = [
        migrations.CreateModel(
            name="TimeEntry",
            fields=[
                ("id", models.UUIDField(default=shopapi.core.ids.uuid7, primary_key=True, serialize=False)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("changed_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("repair", "repair"),
                            ("diagnosis", "diagnosis"),
                            ("travel", "travel"),
                            ("errand", "errand"),
                            ("rework", "rework"),
                            ("shop", "shop"),
                        ],
                        max_length=9,
                    ),
                ),
                ("operation", models.CharField(blank=True, default="", max_length=60)),
                ("line_id", models.UUIDField(null=True)),
                ("started_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(null=True)),
                ("device_started_at", models.DateTimeField(null=True)),
                ("device_ended_at", models.DateTimeField(null=True)),
                ("start_skew_ms", models.BigIntegerField(default=0)),
                ("end_skew_ms", models.BigIntegerField(default=0)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("open", "open"),
                            ("closed", "closed"),
                            ("disputed", "disputed"),
                            ("replaced", "replaced"),
                        ],
                        max_length=8,
                    ),
                ),
                (
                    "doubt",
                    models.CharField(
                        blank=True,
                        choices=[("ends_first", "ends_first"), ("in_future", "in_future"), ("too_long", "too_long")],
                        default="",
                        max_length=10,
                    ),
                ),
                ("reason", models.TextField(blank=True, default="")),
                (
                    "cause",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("wrong_gauge", "wrong_gauge"),
                            ("wrong_part", "wrong_part"),
                            ("torque", "torque"),
                            ("missed_step", "missed_step"),
                            ("part_failed", "part_failed"),
                            ("other", "other"),
                        ],
                        default="",
                        max_length=11,
                    ),
                ),
                (
                    "corrects",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="corrected_by",
                        to="labor.timeentry",
                    ),
                ),
                (
                    "device",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="accounts.device"
                    ),
                ),
                (
                    "job",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="time_entries",
                        to="jobs.job",
                    ),
                ),
                (
                    "member",
                    shopapi.accounts.models.ShopForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="time_entries", to="accounts.member"
                    ),
                ),
                (
                    "repairs",
                    shopapi.accounts.models.ShopForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="repaired_by",
                        to="labor.timeentry",
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
                "indexes": [
                    models.Index(fields=["shop", "member", "started_at"], name="time_by_member"),
                    models.Index(fields=["shop", "started_at"], name="time_by_start"),
                ],
                "constraints": [
                    django.contrib.postgres.constraints.ExclusionConstraint(
                        condition=models.Q(("state__in", ["open", "closed"])),
                        expressions=(
                            ("shop", "="),
                            ("member", "="),
                            (
                                shopapi.labor.models.TimestampRange(
                                    "started_at", "ended_at", django.contrib.postgres.fields.ranges.RangeBoundary()
                                ),
                                "&&",
                            ),
                        ),
                        name="time_of_one_member_does_not_overlap",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("state", "open")),
                        fields=("shop", "member"),
                        name="one_running_clock_per_member",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("ended_at__isnull", True), ("ended_at__gt", models.F("started_at")), _connector="OR"
                        ),
                        name="time_ends_after_it_begins",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("ended_at__isnull", True), ("state", "open")),
                            models.Q(("ended_at__isnull", False), ("state", "closed")),
                            ("state__in", ["disputed", "replaced"]),
                            _connector="OR",
                        ),
                        name="open_time_has_no_end_and_closed_time_has_one",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind", "rework"), models.Q(("cause", ""), _negated=True)),
                            models.Q(
                                models.Q(("kind", "rework"), _negated=True), ("cause", ""), ("repairs__isnull", True)
                            ),
                            _connector="OR",
                        ),
                        name="rework_alone_has_a_cause",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind__in", ["repair", "diagnosis", "rework"]), _negated=True),
                            ("job__isnull", False),
                            _connector="OR",
                        ),
                        name="work_on_a_machine_is_on_a_job",
                    ),
                ],
            },
        ),
        ShopTable("TimeEntry", synced_as="time_entry"),
    ]
