"""Closed periods."""

from django.db import models

from shopapi.accounts.models import Member, ShopForeignKey, ShopOwned


class PeriodClose(ShopOwned):
    """Up to which day the books are closed; the newest row counts. Append-only."""

    append_only = True

    closed_through = models.DateField()
    note = models.TextField(default="", blank=True)
    # What was counted by method when the day was closed, with what was expected.
    counted = models.JSONField(default=list, blank=True)
    member = ShopForeignKey(Member, related_name="+", null=True)

    class Meta:
        # The newest one.
        indexes = (models.Index(fields=["shop", "created_at", "id"], name="period_close_newest"),)
