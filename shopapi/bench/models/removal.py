"""Taking apart and putting back: steps, their fasteners, what became of each, rules about the order."""

from django.db import models

from shopapi.accounts.models import Member, ShopForeignKey, ShopOwned
from shopapi.bench.rules.fasteners import FastenerMoveKind, TorqueUnit
from shopapi.bench.rules.removal import RemovalKind
from shopapi.core.enums import choices_of
from shopapi.jobs.models import Job


class RemovalStep(ShopOwned):
    """Something taken off a machine or loosened. `position` orders a job's steps; two phones may use one twice."""

    job = ShopForeignKey(Job, related_name="removal_steps")
    position = models.PositiveIntegerField(default=0)
    what = models.CharField(max_length=120, default="", blank=True)
    place = models.CharField(max_length=120, default="", blank=True)
    kind = models.CharField(max_length=14, default=RemovalKind.PART, choices=choices_of(RemovalKind))
    loosened = models.BooleanField(default=False)
    bag = models.PositiveIntegerField(null=True)
    behind = ShopForeignKey("self", related_name="in_front", null=True)
    taken_at = models.DateTimeField()
    taken_by = ShopForeignKey(Member, related_name="+", null=True)
    back_at = models.DateTimeField(null=True)
    back_by = ShopForeignKey(Member, related_name="+", null=True)


class Fastener(ShopOwned):
    """Equal fasteners at one place. `count` came out, or was loosened; what became of them are moves."""

    step = ShopForeignKey(RemovalStep, related_name="fasteners")
    thread = models.CharField(max_length=20)
    length = models.CharField(max_length=20, default="", blank=True)
    grade = models.CharField(max_length=20, default="", blank=True)
    head = models.CharField(max_length=20, default="", blank=True)
    place = models.CharField(max_length=120, default="", blank=True)
    count = models.PositiveIntegerField(default=1)
    hidden = models.BooleanField(default=False)
    one_use = models.BooleanField(default=False)
    thread_locker = models.CharField(max_length=20, default="", blank=True)
    torque = models.DecimalField(max_digits=8, decimal_places=3, null=True)
    torque_unit = models.CharField(max_length=6, default="", blank=True, choices=choices_of(TorqueUnit))
    torque_critical = models.BooleanField(default=False)

    class Meta:
        constraints = (
            models.CheckConstraint(condition=models.Q(count__gte=1), name="fastener_counts_at_least_one"),
            models.CheckConstraint(
                condition=models.Q(torque__isnull=True) | ~models.Q(torque_unit=""),
                name="torque_of_fastener_has_a_unit",
            ),
        )


class FastenerMove(ShopOwned):
    """What became of some fasteners. Append-only: a mistake is cancelled by a move of the opposite count."""

    append_only = True

    fastener = ShopForeignKey(Fastener, related_name="moves")
    kind = models.CharField(max_length=9, choices=choices_of(FastenerMoveKind))
    count = models.IntegerField()
    at = ShopForeignKey(Fastener, related_name="moves_here", null=True)
    torque = models.DecimalField(max_digits=8, decimal_places=3, null=True)
    torque_unit = models.CharField(max_length=6, default="", blank=True, choices=choices_of(TorqueUnit))
    tool = models.CharField(max_length=120, default="", blank=True)
    moved_at = models.DateTimeField()
    member = ShopForeignKey(Member, related_name="+", null=True)

    class Meta:
        constraints = (models.CheckConstraint(condition=~models.Q(count=0), name="fastener_move_counts_something"),)


class PutBackRule(ShopOwned):
    """One step of a job has to be put back before another."""

    job = ShopForeignKey(Job, related_name="put_back_rules")
    before = ShopForeignKey(RemovalStep, related_name="rules_before")
    after = ShopForeignKey(RemovalStep, related_name="rules_after")
    reason = models.CharField(max_length=200, default="", blank=True)

    class Meta:
        constraints = (
            models.CheckConstraint(condition=~models.Q(before=models.F("after")), name="step_is_not_before_itself"),
        )
