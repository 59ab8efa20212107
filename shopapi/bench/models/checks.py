"""Check lists of the shop, and checks of a job."""

from django.db import models

from shopapi.accounts.models import Member, ShopForeignKey, ShopOwned
from shopapi.bench.rules.checks import ItemResult
from shopapi.core.enums import choices_of
from shopapi.jobs.models import Job


class CheckList(ShopOwned):
    """A list of what to look at, of one kind of machine or all; a template that the shop edits."""

    name = models.CharField(max_length=120)
    machine_kind = models.CharField(max_length=120, default="", blank=True)
    purpose = models.CharField(max_length=120, default="", blank=True)
    items = models.JSONField(default=list, blank=True)

    def __str__(self) -> str:
        return self.name


class Check(ShopOwned):
    """What was found at one item on a job. Append-only: the latest of an item counts.

    `item_id` is that of the list's item and `finding_id` that of the finding it became. Both are no foreign keys: lists
    are edited, and a finding made by mistake can be removed.
    """

    append_only = True

    job = ShopForeignKey(Job, related_name="checks")
    item_id = models.UUIDField()
    list_name = models.CharField(max_length=120, default="", blank=True)
    item_words = models.CharField(max_length=200)
    critical = models.BooleanField(default=False)
    result = models.CharField(max_length=10, choices=choices_of(ItemResult))
    words = models.TextField(default="", blank=True)
    finding_id = models.UUIDField(null=True)
    checked_at = models.DateTimeField()
    checked_by = ShopForeignKey(Member, related_name="+", null=True)
