"""Cautions that were read on a job."""

from django.db import models

from shopapi.accounts.models import Member, ShopForeignKey, ShopOwned
from shopapi.bench.rules.cautions import WorkCaution
from shopapi.core.enums import choices_of
from shopapi.jobs.models import Job


class CautionSeen(ShopOwned):
    """The evidence that a member has read a caution on a job. Append-only; two phones may record it twice."""

    append_only = True

    job = ShopForeignKey(Job, related_name="cautions_seen")
    code = models.CharField(max_length=20, choices=choices_of(WorkCaution))
    seen_at = models.DateTimeField()
    member = ShopForeignKey(Member, related_name="+", null=True)
