"""Clocked time."""

from typing import Any

from django.contrib.postgres.constraints import ExclusionConstraint
from django.contrib.postgres.fields import ArrayField, DateTimeRangeField, RangeBoundary, RangeOperators
from django.db import models

from shopapi.accounts.models import Device, Member, ShopForeignKey, ShopOwned
from shopapi.core.enums import choices_of
from shopapi.jobs.models import Job
from shopapi.labor.rules.entry import EntryAnomaly, EntryKind, EntryState, ReworkCause


class TimestampRange(models.Func):
    """The time of an entry, its end excluded; an entry without an end has no upper bound."""

    function = "TSTZRANGE"
    output_field: Any = DateTimeRangeField()


class TimeEntry(ShopOwned):
    """A span of one member's time. A correction is a new row that names the old one in `corrects`.

    Only the end (once) and the state of a row change. `started_at` and `ended_at` are the times used; the device's own
    stamps are stored too, with the skew that was subtracted. `unsure_ms`: the possible error, where the device's clock
    was set at an unknown moment. `line_id` is the id of a quote line; no foreign key, since quotes is a higher app.
    """

    member = ShopForeignKey(Member, related_name="time_entries")
    device = ShopForeignKey(Device, related_name="+", null=True)
    job = ShopForeignKey(Job, related_name="time_entries", null=True)
    kind = models.CharField(max_length=9, choices=choices_of(EntryKind))
    operation = models.CharField(max_length=60, default="", blank=True)
    line_id = models.UUIDField(null=True)
    started_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)
    device_started_at = models.DateTimeField(null=True)
    device_ended_at = models.DateTimeField(null=True)
    start_skew_ms = models.BigIntegerField(default=0)
    end_skew_ms = models.BigIntegerField(default=0)
    unsure_ms = models.BigIntegerField(default=0)
    state = models.CharField(max_length=8, choices=choices_of(EntryState))
    anomaly = models.CharField(max_length=10, default="", blank=True, choices=choices_of(EntryAnomaly))
    corrects = ShopForeignKey("self", related_name="corrected_by", null=True)
    reason = models.TextField(default="", blank=True)
    cause = models.CharField(max_length=11, default="", blank=True, choices=choices_of(ReworkCause))
    repairs = ShopForeignKey("self", related_name="repaired_by", null=True)

    class Meta:
        constraints = (
            ExclusionConstraint(
                name="time_of_one_member_does_not_overlap",
                expressions=(
                    ("shop", RangeOperators.EQUAL),
                    ("member", RangeOperators.EQUAL),
                    (TimestampRange("started_at", "ended_at", RangeBoundary()), RangeOperators.OVERLAPS),
                ),
                condition=models.Q(state__in=["open", "closed"]),
            ),
            models.UniqueConstraint(
                fields=["shop", "member"], name="one_running_clock_per_member", condition=models.Q(state="open")
            ),
            models.CheckConstraint(
                name="time_ends_after_it_begins",
                condition=models.Q(ended_at__isnull=True) | models.Q(ended_at__gt=models.F("started_at")),
            ),
            models.CheckConstraint(
                name="open_time_has_no_end_and_closed_time_has_one",
                condition=models.Q(state="open", ended_at__isnull=True)
                | models.Q(state="closed", ended_at__isnull=False)
                | models.Q(state__in=["disputed", "replaced"]),
            ),
            models.CheckConstraint(
                name="rework_alone_has_a_cause",
                condition=models.Q(kind="rework") & ~models.Q(cause="")
                | ~models.Q(kind="rework") & models.Q(cause="", repairs__isnull=True),
            ),
            models.CheckConstraint(
                name="work_on_a_machine_is_on_a_job",
                condition=~models.Q(kind__in=["repair", "diagnosis", "rework"]) | models.Q(job__isnull=False),
            ),
        )
        indexes = (
            # A member's day or week.
            models.Index(fields=["shop", "member", "started_at"], name="time_by_member"),
            # Days and weeks of the whole shop.
            models.Index(fields=["shop", "started_at"], name="time_by_start"),
            # Entries excluded from the sums: running or in dispute.
            models.Index(
                fields=["shop", "started_at"],
                name="time_unsettled",
                condition=models.Q(state__in=["open", "disputed"]),
            ),
        )

    def __str__(self) -> str:
        return f"{self.kind} from {self.started_at:%Y-%m-%d %H:%M}"


class WorkHistory(ShopOwned):
    """How long one operation took on one kind of machine on finished jobs; synced so that phones can suggest hours.

    `minutes` are those of the latest jobs, shortest first; `reworked` of them had rework. Names are in lower case.
    """

    operation = models.CharField(max_length=60)
    machine_kind = models.CharField(max_length=120)
    minutes = ArrayField(models.PositiveIntegerField())
    reworked = models.PositiveIntegerField()

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=["shop", "operation", "machine_kind"], name="one_history_per_work_and_kind_of_machine"
            ),
        )

    def __str__(self) -> str:
        return f"{self.operation}, {self.machine_kind}"
