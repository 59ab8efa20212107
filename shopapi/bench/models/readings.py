"""Readings of a job."""

from django.db import models

from shopapi.accounts.models import Member, ShopForeignKey, ShopOwned
from shopapi.bench.rules.decisions import Verdict
from shopapi.core.enums import choices_of
from shopapi.jobs.models import Job
from shopapi.machines.models import Machine


class Reading(ShopOwned):
    """A measured value with the gauge and the limit as they were. Append-only; another reading corrects it.

    `machine` is that of the job; `si` is the value in the base unit of its quantity, empty for blades.
    """

    append_only = True

    job = ShopForeignKey(Job, related_name="readings")
    machine = ShopForeignKey(Machine, related_name="measurements")
    what = models.CharField(max_length=120)
    place = models.CharField(max_length=120, default="", blank=True)
    value = models.CharField(max_length=20, default="", blank=True)
    goes = models.CharField(max_length=20, default="", blank=True)
    stops = models.CharField(max_length=20, default="", blank=True)
    unit = models.CharField(max_length=20)
    si = models.CharField(max_length=40, default="", blank=True)
    gauge = models.JSONField(null=True)
    limit = models.JSONField(null=True)
    verdict = models.CharField(max_length=10, choices=choices_of(Verdict))
    repeat_of = ShopForeignKey("self", related_name="repeats", null=True)
    second_method = models.BooleanField(default=False)
    corrects = ShopForeignKey("self", related_name="corrections", null=True)
    words = models.TextField(default="", blank=True)
    taken_at = models.DateTimeField()
    taken_by = ShopForeignKey(Member, related_name="+", null=True)

    class Meta:
        # What was measured on a machine over its life.
        indexes = (models.Index(fields=["shop", "machine", "taken_at"], name="reading_by_machine"),)
