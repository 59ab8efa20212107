"""Parts that go back to suppliers."""

from django.db import models

from shopapi.accounts.models import ShopForeignKey, ShopOwned
from shopapi.core.enums import choices_of
from shopapi.parts.models.needs import PartNeed
from shopapi.parts.models.orders import PartOrderLine
from shopapi.parts.models.suppliers import Supplier
from shopapi.parts.rules.returns import ReturnReason, ReturnState


class PartReturn(ShopOwned):
    """A part that goes back, until its money is back too. Amounts are of all of it, in minor units."""

    supplier = ShopForeignKey(Supplier, related_name="returns")
    order_line = ShopForeignKey(PartOrderLine, related_name="returns", null=True)
    need = ShopForeignKey(PartNeed, related_name="returns", null=True)
    number = models.CharField(max_length=60, default="", blank=True)
    description = models.CharField(max_length=120, default="", blank=True)
    quantity = models.DecimalField(max_digits=11, decimal_places=6)
    reason = models.CharField(max_length=10, choices=choices_of(ReturnReason))
    expected_minor = models.BigIntegerField(null=True, blank=True)
    note = models.TextField(default="", blank=True)
    state = models.CharField(max_length=8, default=ReturnState.TO_SEND, choices=choices_of(ReturnState))
    sent_on = models.DateField(null=True, blank=True)
    refunded_minor = models.BigIntegerField(null=True, blank=True)
    refunded_on = models.DateField(null=True, blank=True)

    class Meta:
        constraints = (
            models.CheckConstraint(name="part_return_is_of_some", condition=models.Q(quantity__gt=0)),
            models.CheckConstraint(
                name="part_return_refund_has_its_day",
                condition=models.Q(refunded_minor__isnull=True) | models.Q(refunded_on__isnull=False),
            ),
        )
        # What is still to send or to be refunded.
        indexes = (models.Index(fields=["shop", "state"], name="part_return_by_state"),)

    def __str__(self) -> str:
        return self.description or self.number
