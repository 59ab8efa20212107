"""Results of tests before release."""

from django.db import models

from shopapi.accounts.models import Member, ShopForeignKey, ShopOwned
from shopapi.bench.rules.run_tests import RunTestKind, RunTestOutcome
from shopapi.core.enums import choices_of
from shopapi.jobs.models import Job


class RunTest(ShopOwned):
    """The result of one test on one job. Append-only; a later one of the same kind and item counts."""

    append_only = True

    job = ShopForeignKey(Job, related_name="run_tests")
    kind = models.CharField(max_length=20, choices=choices_of(RunTestKind))
    item = models.CharField(max_length=120, default="", blank=True)
    outcome = models.CharField(max_length=8, choices=choices_of(RunTestOutcome))
    expected = models.CharField(max_length=120, default="", blank=True)
    seen = models.CharField(max_length=120, default="", blank=True)
    value = models.DecimalField(max_digits=18, decimal_places=6, null=True, blank=True)
    unit = models.CharField(max_length=20, default="", blank=True)
    tries = models.PositiveIntegerField(null=True, blank=True)
    good = models.PositiveIntegerField(null=True, blank=True)
    words = models.TextField(default="", blank=True)
    tested_at = models.DateTimeField()
    member = ShopForeignKey(Member, related_name="+", null=True)
