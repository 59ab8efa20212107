"""Tries to get a part."""

from django.db import models

from shopapi.accounts.models import Member, ShopForeignKey, ShopOwned
from shopapi.parts.models.needs import PartNeed


class PartSearch(ShopOwned):
    """Where a part was asked for, and the answer. Append-only."""

    append_only = True

    need = ShopForeignKey(PartNeed, related_name="searches")
    asked = models.CharField(max_length=120)
    asked_at = models.DateTimeField()
    answer = models.TextField()
    alternative = models.CharField(max_length=120, default="", blank=True)
    member = ShopForeignKey(Member, related_name="+", null=True)
