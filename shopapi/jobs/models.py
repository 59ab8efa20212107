"""Jobs with their complaints and findings."""

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models.functions import Now

from shopapi.accounts.models import Member, ShopForeignKey, ShopOwned
from shopapi.core.enums import choices_of
from shopapi.core.fields import ERASED, personal
from shopapi.customers.models import Customer, Site
from shopapi.jobs.rules import (
    AcknowledgedHow,
    ArrivesBy,
    Decision,
    DeviceCondition,
    FindingRank,
    Stage,
    Urgency,
    Waits,
)
from shopapi.machines.models import Machine


class Job(ShopOwned):
    """One ticket for one machine. The server numbers it ("J-1042"); `mark` is what it was called before that.

    `comeback_of`: the earlier job of the machine whose work has to be done again.
    `resumed_work`: when it was worked on again after it was ready, and when it was ready after that.
    `waits_on` is derived by the apps above (`quotes`, `parts`) whenever what it derives from changes.
    """

    number = models.CharField(max_length=20, null=True)
    mark = models.CharField(max_length=20, default="", blank=True)
    customer = ShopForeignKey(Customer, related_name="jobs")
    machine = ShopForeignKey(Machine, related_name="jobs")
    site = ShopForeignKey(Site, related_name="jobs", null=True, blank=True)
    stage = models.CharField(max_length=10, default=Stage.INTAKE, choices=choices_of(Stage))
    urgency = models.CharField(max_length=5, default=Urgency.USUAL, choices=choices_of(Urgency))
    arrives_by = models.CharField(max_length=8, default="", blank=True, choices=choices_of(ArrivesBy))
    promised_on = models.DateField(null=True, blank=True)
    notes = personal(models.TextField(default="", blank=True))
    comeback_of = ShopForeignKey("self", related_name="comebacks", null=True, blank=True)
    waits_on = ArrayField(models.CharField(max_length=10, choices=choices_of(Waits)), default=list, blank=True)
    resumed_work = models.JSONField(default=list, blank=True)
    opened_at = models.DateTimeField(db_default=Now())

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["shop", "number"], name="one_job_per_number"),
            models.CheckConstraint(
                name="job_is_no_comeback_of_itself",
                condition=models.Q(comeback_of__isnull=True) | ~models.Q(comeback_of=models.F("id")),
            ),
        )
        # Today's list: what is open, by stage.
        indexes = (models.Index(fields=["shop", "stage"], name="job_by_stage"),)

    def __str__(self) -> str:
        return self.number or self.mark


class Complaint(ShopOwned):
    """What the customer said, word for word. Append-only."""

    append_only = True

    job = ShopForeignKey(Job, related_name="complaints")
    words = personal(models.TextField(), instead=ERASED)
    happens_when = models.TextField(default="", blank=True)
    taken_by = ShopForeignKey(Member, related_name="+", null=True)


class Finding(ShopOwned):
    """A fault found. `decided` follows from the quotes that offer to repair it.

    `again_of` is the finding of an earlier visit, declined then, that this one takes up again.
    """

    job = ShopForeignKey(Job, related_name="findings")
    words = models.TextField()
    consequence = models.TextField(default="", blank=True)
    rank = models.CharField(max_length=8, choices=choices_of(FindingRank))
    decided = models.CharField(max_length=8, default=Decision.OPEN, choices=choices_of(Decision))
    found_by = ShopForeignKey(Member, related_name="+", null=True)
    again_of = ShopForeignKey("self", related_name="taken_up", null=True)


class SafetyItem(ShopOwned):
    """A safety device that is not working, bypassed or missing, with the finding that it belongs to.

    `part_search` and `trials` only grow. `repaired` follows from the trials (`rules.is_repaired`).
    """

    job = ShopForeignKey(Job, related_name="safety_items")
    machine = ShopForeignKey(Machine, related_name="safety_items")
    finding = ShopForeignKey(Finding, related_name="safety_items")
    device = models.CharField(max_length=120)
    condition = models.CharField(max_length=11, choices=choices_of(DeviceCondition))
    protection_lost = models.TextField()
    interim = models.TextField(default="", blank=True)
    part_search = models.JSONField(default=list, blank=True)
    trials = models.JSONField(default=list, blank=True)
    repaired = models.BooleanField(default=False)
    noted_by = ShopForeignKey(Member, related_name="+", null=True)

    def __str__(self) -> str:
        return self.device


class SafetyAcknowledgement(ShopOwned):
    """The evidence that a customer was told of a safety finding and wants it left. Append-only.

    `items`: its safety items as they were told.
    """

    append_only = True

    finding = ShopForeignKey(Finding, related_name="acknowledgements")
    finding_words = models.TextField()
    protection_lost = models.TextField()
    acknowledged_by_name = personal(models.CharField(max_length=120), instead=ERASED)
    how = models.CharField(max_length=9, choices=choices_of(AcknowledgedHow))
    acknowledged_at = models.DateTimeField()
    note = personal(models.TextField(default="", blank=True))
    items = models.JSONField(default=list, blank=True)
    member = ShopForeignKey(Member, related_name="+", null=True)
