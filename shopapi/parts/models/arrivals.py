"""What came of orders."""

from django.db import models

from shopapi.accounts.models import Member, ShopForeignKey, ShopOwned
from shopapi.core.enums import choices_of
from shopapi.parts.models.orders import PartOrderLine
from shopapi.parts.rules.arrivals import ArrivalCondition


class PartArrival(ShopOwned):
    """So many of a line that came, in one condition. Append-only; a wrong one is undone by another row.

    `cost_minor`: paid for one, in minor units.
    """

    append_only = True

    order_line = ShopForeignKey(PartOrderLine, related_name="arrivals")
    quantity = models.DecimalField(max_digits=11, decimal_places=6)
    condition = models.CharField(max_length=7, choices=choices_of(ArrivalCondition))
    cost_minor = models.BigIntegerField(null=True, blank=True)
    undoes = ShopForeignKey("self", related_name="undone_by", null=True)
    note = models.TextField(default="", blank=True)
    arrived_at = models.DateTimeField()
    member = ShopForeignKey(Member, related_name="+", null=True)

    class Meta:
        constraints = (
            models.CheckConstraint(name="part_arrival_is_of_some", condition=models.Q(quantity__gt=0)),
            models.UniqueConstraint(fields=["undoes"], name="part_arrival_is_undone_once"),
        )
        # What came of one line.
        indexes = (models.Index(fields=["shop", "order_line"], name="part_arrival_by_line"),)
