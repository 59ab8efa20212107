"""Orders of parts and their lines."""

from django.db import models

from shopapi.accounts.models import ShopForeignKey, ShopOwned
from shopapi.core.enums import choices_of
from shopapi.documents.models import Document
from shopapi.parts.models.catalog import CatalogPart
from shopapi.parts.models.needs import PartNeed
from shopapi.parts.models.suppliers import Supplier
from shopapi.parts.rules.order_sheet import OrderPdfState
from shopapi.parts.rules.orders import LineAnswer, OrderState
from shopapi.parts.rules.suppliers import OrderBy


class PartOrder(ShopOwned):
    """A list of parts for one supplier. The server numbers it ("PO-1001"); `mark` is what it was called before that.

    `bill_*`: what the supplier asks for it, in minor units, and when it was paid.
    """

    supplier = ShopForeignKey(Supplier, related_name="orders")
    number = models.CharField(max_length=20, null=True)
    mark = models.CharField(max_length=20, default="", blank=True)
    state = models.CharField(max_length=9, default=OrderState.DRAFT, choices=choices_of(OrderState))
    sent_at = models.DateTimeField(null=True, blank=True)
    sent_how = models.CharField(max_length=7, null=True, choices=choices_of(OrderBy))
    promised_on = models.DateField(null=True, blank=True)
    note = models.TextField(default="", blank=True)
    bill_number = models.CharField(max_length=60, default="", blank=True)
    bill_minor = models.BigIntegerField(null=True, blank=True)
    bill_due_on = models.DateField(null=True, blank=True)
    bill_paid_on = models.DateField(null=True, blank=True)
    pdf_state = models.CharField(max_length=7, default="none", choices=choices_of(OrderPdfState))
    pdf_reason = models.TextField(default="", blank=True)
    document = ShopForeignKey(Document, related_name="+", null=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["shop", "number"], name="one_part_order_per_number"),
            models.CheckConstraint(
                name="sent_part_order_has_time_and_way",
                condition=models.Q(state__in=["draft", "cancelled"])
                | models.Q(sent_at__isnull=False, sent_how__isnull=False),
            ),
        )
        indexes = (
            # What is under way, by supplier.
            models.Index(fields=["shop", "state", "supplier"], name="part_order_by_state"),
            # The latest orders of a supplier, from which its lead time is estimated.
            models.Index(
                fields=["shop", "supplier", "-sent_at"],
                name="part_order_by_sent",
                condition=models.Q(sent_at__isnull=False),
            ),
        )

    def __str__(self) -> str:
        return self.number or self.mark


class PartOrderLine(ShopOwned):
    """So many of one part on an order. Prices are of one, in minor units."""

    order = ShopForeignKey(PartOrder, related_name="lines")
    need = ShopForeignKey(PartNeed, related_name="order_lines", null=True)
    catalog_part = ShopForeignKey(CatalogPart, related_name="order_lines", null=True)
    number = models.CharField(max_length=60, default="", blank=True)
    description = models.CharField(max_length=120, default="", blank=True)
    quantity = models.DecimalField(max_digits=11, decimal_places=6)
    cost_minor = models.BigIntegerField(null=True, blank=True)
    core_minor = models.BigIntegerField(default=0)
    answer = models.CharField(max_length=14, default=LineAnswer.OPEN, choices=choices_of(LineAnswer))
    promised_on = models.DateField(null=True, blank=True)
    position = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = (models.CheckConstraint(name="part_order_line_is_of_some", condition=models.Q(quantity__gt=0)),)
        # The lines of one order, in their order.
        indexes = (models.Index(fields=["shop", "order", "position"], name="part_order_line_by_order"),)

    def __str__(self) -> str:
        return self.description or self.number
