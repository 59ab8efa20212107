"""Rigs, runs, stops, hand-overs and plan requests."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.contrib.postgres.fields import ArrayField
from django.db import models

from shopapi.accounts.models import Device, Member, ShopForeignKey, ShopOwned
from shopapi.core.enums import choices_of
from shopapi.core.fields import personal
from shopapi.core.languages import ENGLISH, Language
from shopapi.customers.models import Site
from shopapi.dispatch.rules.schemas.hand_over import Fuel, MeterAnomaly
from shopapi.dispatch.rules.schemas.plan import PlanCause
from shopapi.dispatch.rules.schemas.printout import PrintoutKind, PrintoutState
from shopapi.dispatch.rules.schemas.stop import Failure, JobStopKind, Need, Priority, StopKind
from shopapi.dispatch.rules.states import PlanState, RunState, StopState
from shopapi.documents.models import Document
from shopapi.jobs.models import Job
from shopapi.machines.models import MeterReading
from shopapi.parts.models import Supplier
from shopapi.quotes.models import Signature


def nothing_learned() -> dict[str, Any]:
    return {}


class Yard(ShopOwned):
    """Where a shop's runs begin and end, and how it drives and works; one per shop, made by `set_up_yard`.

    `learned` is computed from the shop's past days by a task.
    """

    lat = models.DecimalField(max_digits=9, decimal_places=6, null=True)
    lon = models.DecimalField(max_digits=9, decimal_places=6, null=True)
    opens = models.CharField(max_length=5)
    closes = models.CharField(max_length=5)
    loading_minutes = models.PositiveSmallIntegerField()
    pickup_minutes = models.PositiveSmallIntegerField()
    return_minutes = models.PositiveSmallIntegerField()
    visit_minutes = models.PositiveSmallIntegerField()
    speed_kmh = models.PositiveSmallIntegerField(null=True)
    trailer_percent = models.PositiveSmallIntegerField()
    turn_in_minutes = models.PositiveSmallIntegerField()
    tongue_low_permille = models.PositiveSmallIntegerField()
    tongue_high_permille = models.PositiveSmallIntegerField()
    least_tie_downs = models.PositiveSmallIntegerField()
    learned = models.JSONField(default=nothing_learned)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["shop"], name="one_yard_a_shop"),
            models.CheckConstraint(
                name="yard_has_both_coordinates_or_neither",
                condition=models.Q(lat__isnull=True, lon__isnull=True) | models.Q(lat__isnull=False, lon__isnull=False),
            ),
        )


class Rig(ShopOwned):
    """One truck with its trailer. `deck`, `trailer` and `truck` are JSON by the schemas in `rules.schemas`.

    A rig is retired by `active`, never deleted. `out_at`: broken down since then.
    """

    name = models.CharField(max_length=120)
    driver = ShopForeignKey(Member, related_name="rigs", null=True)
    crew = models.PositiveSmallIntegerField()
    payload_kg = models.PositiveIntegerField()
    payload_typed = models.CharField(max_length=20, default="", blank=True)
    deck = models.JSONField()
    trailer = models.JSONField(null=True)
    truck = models.JSONField(null=True)
    winch = models.BooleanField(default=False)
    ramp_length_cm = models.PositiveIntegerField(null=True)
    ramp_length_typed = models.CharField(max_length=20, default="", blank=True)
    ramp_full_width = models.BooleanField(default=False)
    straps = models.PositiveSmallIntegerField(null=True)
    strap_wll_kg = models.PositiveIntegerField(null=True)
    strap_wll_typed = models.CharField(max_length=20, default="", blank=True)
    straps_cross = models.BooleanField(default=False)
    home_lat = models.DecimalField(max_digits=9, decimal_places=6, null=True)
    home_lon = models.DecimalField(max_digits=9, decimal_places=6, null=True)
    shift_opens = models.CharField(max_length=5)
    shift_closes = models.CharField(max_length=5)
    breaks = models.JSONField(default=list)
    active = models.BooleanField(default=True)
    out_at = models.DateTimeField(null=True)
    out_note = models.TextField(default="", blank=True)

    class Meta:
        constraints = (
            models.CheckConstraint(name="rig_carries_something", condition=models.Q(payload_kg__gt=0)),
            models.CheckConstraint(
                name="rig_home_has_both_coordinates_or_neither",
                condition=models.Q(home_lat__isnull=True, home_lon__isnull=True)
                | models.Q(home_lat__isnull=False, home_lon__isnull=False),
            ),
        )

    def __str__(self) -> str:
        return self.name


class PlanRequest(ShopOwned):
    """A request for a plan, its progress and its answer; synced to every device.

    `basis` maps every row that the plan was made from to a digest of the fields used: the answer can be accepted only
    while no digest has changed. `driver`: only this member's run may change.
    """

    asked_by = ShopForeignKey(Member, related_name="+", null=True)
    driver = ShopForeignKey(Member, related_name="+", null=True)
    days = ArrayField(models.DateField())
    seed = models.PositiveIntegerField()
    seconds = models.PositiveSmallIntegerField()
    rounds = models.PositiveIntegerField(null=True)
    from_now = models.BooleanField(default=False)
    cause = models.CharField(max_length=9, default="asked", choices=choices_of(PlanCause))
    state = models.CharField(max_length=9, default="waiting", choices=choices_of(PlanState))
    permille = models.PositiveSmallIntegerField(default=0)
    answer = models.JSONField(null=True)
    error = models.TextField(default="", blank=True)
    basis = models.JSONField(default=dict)
    taken_at = models.DateTimeField(null=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="done_planning_has_an_answer",
                condition=~models.Q(state="done") | models.Q(answer__isnull=False),
            ),
        )


class Run(ShopOwned):
    """One run of a rig on a day. Stops refer to it; the figures here are for their order when it was last checked.

    `cautions`, `margins`, `decks` and `legs` are JSON by the schemas in `rules.schemas`.
    """

    rig = ShopForeignKey(Rig, related_name="runs")
    driver = ShopForeignKey(Member, related_name="runs", null=True)
    day = models.DateField()
    state = models.CharField(max_length=9, default="planned", choices=choices_of(RunState))
    leaves_at = models.DateTimeField(null=True)
    home_at = models.DateTimeField(null=True)
    started_at = models.DateTimeField(null=True)
    ended_at = models.DateTimeField(null=True)
    metres = models.PositiveIntegerField(null=True)
    drive_seconds = models.PositiveIntegerField(null=True)
    cautions = models.JSONField(default=list)
    margins = models.JSONField(default=list)
    decks = models.JSONField(default=list)
    legs = models.JSONField(default=list)
    plan = ShopForeignKey(PlanRequest, related_name="runs", null=True)

    class Meta:
        constraints = (
            # Only planned runs are unique per rig and day: a rig that was repaired after a breakdown may go out again.
            models.UniqueConstraint(
                fields=["shop", "rig", "day"],
                name="one_live_run_per_rig_and_day",
                condition=models.Q(state__in=["planned", "locked", "driving"]),
            ),
        )
        # Runs of a day and of a week.
        indexes = (models.Index(fields=["shop", "day"], name="run_by_day"),)

    def __str__(self) -> str:
        return f"{self.rig_id} on {self.day}"


class Stop(ShopOwned):
    """A pickup, a return or a visit of a job, or parts to fetch at a supplier.

    A failed stop stays failed; trying again is a new stop with `again_of`.

    Times that the customer was told are kept by every plan. Stamps are corrected by the device's clock skew. With own
    coordinates the machine is there and not at the site; `from_rig`: on the deck of that rig, which broke down.
    """

    job = ShopForeignKey(Job, related_name="stops", null=True)
    kind = models.CharField(max_length=6, choices=choices_of(StopKind))
    site = ShopForeignKey(Site, related_name="stops", null=True)
    supplier = ShopForeignKey(Supplier, related_name="stops", null=True)
    lat = personal(models.DecimalField(max_digits=9, decimal_places=6, null=True))
    lon = personal(models.DecimalField(max_digits=9, decimal_places=6, null=True))
    place = personal(models.CharField(max_length=120, default="", blank=True))
    windows = models.JSONField(default=list)
    service_minutes = models.PositiveSmallIntegerField(null=True)
    needs = ArrayField(models.CharField(max_length=10, choices=choices_of(Need)), default=list)
    priority = models.CharField(max_length=5, default="usual", choices=choices_of(Priority))
    earliest_on = models.DateField(null=True)
    promised_on = models.DateField(null=True)
    wait_until = models.DateField(null=True)
    by_daylight = models.BooleanField(default=False)
    notes = personal(models.TextField(default="", blank=True))
    pin_rig = ShopForeignKey(Rig, related_name="+", null=True)
    pin_at = models.DateTimeField(null=True)
    pin_after = ShopForeignKey("self", related_name="+", null=True)
    state = models.CharField(max_length=8, default="asked", choices=choices_of(StopState))
    run = ShopForeignKey(Run, related_name="stops", null=True)
    trip = models.PositiveSmallIntegerField(default=0)
    position = models.PositiveSmallIntegerField(default=0)
    arrives_from = models.DateTimeField(null=True)
    arrives_at = models.DateTimeField(null=True)
    arrives_to = models.DateTimeField(null=True)
    leaves_at = models.DateTimeField(null=True)
    notified_from = models.DateTimeField(null=True)
    notified_to = models.DateTimeField(null=True)
    notified_at = models.DateTimeField(null=True)
    arrived_at = models.DateTimeField(null=True)
    left_at = models.DateTimeField(null=True)
    failure = models.CharField(max_length=17, default="", blank=True, choices=choices_of(Failure))
    failure_note = personal(models.TextField(default="", blank=True))
    failed_at = models.DateTimeField(null=True)
    again_of = ShopForeignKey("self", related_name="again", null=True)
    from_rig = ShopForeignKey(Rig, related_name="+", null=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="failed_stop_has_a_reason_and_a_time",
                condition=~models.Q(state="failed") | ~models.Q(failure="") & models.Q(failed_at__isnull=False),
            ),
            models.CheckConstraint(
                name="planned_stop_is_on_a_run",
                condition=~models.Q(state__in=["planned", "driving"]) | models.Q(run__isnull=False),
            ),
            models.CheckConstraint(
                name="stop_has_both_coordinates_or_neither",
                condition=models.Q(lat__isnull=True, lon__isnull=True) | models.Q(lat__isnull=False, lon__isnull=False),
            ),
            models.CheckConstraint(
                name="stop_has_a_job_or_a_supplier",
                condition=models.Q(kind="fetch", job__isnull=True, site__isnull=True, supplier__isnull=False)
                | ~models.Q(kind="fetch") & models.Q(job__isnull=False, site__isnull=False, supplier__isnull=True),
            ),
        )
        # Stops to be planned, and the stops of a run.
        indexes = (models.Index(fields=["shop", "state"], name="stop_by_state"),)

    def __str__(self) -> str:
        return f"{self.kind} {self.state}"

    @property
    def stands_at(self) -> tuple[Decimal | None, Decimal | None]:
        """Latitude and longitude of the stop; None where not entered."""
        elsewhere = self.lat is not None or self.from_rig_id is not None
        return (self.lat, self.lon) if elsewhere else (self.goes_to.lat, self.goes_to.lon)

    @property
    def goes_to(self) -> Site | Supplier:
        """The site of its job, or the supplier."""
        place: Site | Supplier | None = self.site or self.supplier
        assert place is not None  # noqa: S101 - the constraint `stop_has_a_job_or_a_supplier`
        return place

    @property
    def place_name(self) -> str:
        """The label of its site, or the name of its supplier."""
        return self.site.label if self.site else str(self.goes_to)

    @property
    def been_at(self) -> datetime | None:
        """When somebody was there last; None: never."""
        return self.left_at or self.failed_at or self.arrived_at


class HandOver(ShopOwned):
    """The condition of a machine when it changed hands. Never changed: a second inspection is a second row."""

    append_only = True

    stop = ShopForeignKey(Stop, related_name="hand_overs")
    job = ShopForeignKey(Job, related_name="hand_overs")
    kind = models.CharField(max_length=6, choices=choices_of(JobStopKind))
    at = models.DateTimeField()
    member = ShopForeignKey(Member, related_name="+", null=True)
    condition = models.JSONField(default=list)
    reading = ShopForeignKey(MeterReading, related_name="+", null=True)
    meter_anomaly = models.CharField(max_length=8, default="", blank=True, choices=choices_of(MeterAnomaly))
    keys = models.CharField(max_length=120, default="", blank=True)
    fuel = models.CharField(max_length=8, default="unknown", choices=choices_of(Fuel))
    accessories = models.TextField(default="", blank=True)
    runs = models.BooleanField(null=True)
    made_safe = ArrayField(models.CharField(max_length=60), default=list)
    as_left = ArrayField(models.CharField(max_length=60), default=list)
    acknowledged = ArrayField(models.TextField(), default=list)
    amount_due_minor = models.BigIntegerField(null=True)
    signer_name = models.CharField(max_length=120, default="", blank=True)
    # In which it was shown and signed.
    language = models.CharField(max_length=2, default=ENGLISH, choices=choices_of(Language))
    digest = models.CharField(max_length=64, null=True)
    matches = models.BooleanField(null=True)
    signature = ShopForeignKey(Signature, related_name="+", null=True)


class DrivenLeg(ShopOwned):
    """A driven leg with its computed time; the shop's speeds are learned from these."""

    append_only = True

    run = ShopForeignKey(Run, related_name="driven")
    stop = ShopForeignKey(Stop, related_name="+")
    from_lat = models.DecimalField(max_digits=9, decimal_places=6)
    from_lon = models.DecimalField(max_digits=9, decimal_places=6)
    to_lat = models.DecimalField(max_digits=9, decimal_places=6)
    to_lon = models.DecimalField(max_digits=9, decimal_places=6)
    left_at = models.DateTimeField()
    seconds = models.PositiveIntegerField()

    class Meta:
        constraints = (models.UniqueConstraint(fields=["shop", "run", "stop"], name="one_leg_to_a_stop_of_a_run"),)


class CalendarFeed(ShopOwned):
    """A member's calendar address. Only the hash of its secret is stored.

    `device`: the phone that it was opened on; once that phone is signed off, the feed is closed.
    """

    member = ShopForeignKey(Member, related_name="calendars")
    device = ShopForeignKey(Device, related_name="+", null=True)
    digest = models.CharField(max_length=64)
    revoked_at = models.DateTimeField(null=True)


class Printout(ShopOwned):
    """A PDF made by a worker on request: a run sheet, machine tags, a signed hand-over, or the ticket of a job.

    Its content is of the moment it was made; a newer one is a new row.
    """

    kind = models.CharField(max_length=9, choices=choices_of(PrintoutKind))
    run = ShopForeignKey(Run, related_name="printouts", null=True)
    hand_over = ShopForeignKey(HandOver, related_name="printouts", null=True)
    job = ShopForeignKey(Job, related_name="printouts", null=True)
    machine_ids = ArrayField(models.UUIDField(), default=list)
    state = models.CharField(max_length=7, default="waiting", choices=choices_of(PrintoutState))
    reason = models.TextField(default="", blank=True)
    document = ShopForeignKey(Document, related_name="+", null=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="ready_printout_has_a_document",
                condition=~models.Q(state="ready") | models.Q(document__isnull=False),
            ),
        )
