"""Printed sheets of the stock."""

from django.db import models

from shopapi.accounts.models import ShopForeignKey, ShopOwned
from shopapi.core.enums import choices_of
from shopapi.documents.models import Document
from shopapi.parts.models.stock import StockPlace
from shopapi.parts.rules.stock_sheets import StockSheetKind, StockSheetState


class StockSheet(ShopOwned):
    """A count sheet or labels as PDF, made by a worker on request. Its content is of the moment it was made."""

    kind = models.CharField(max_length=6, choices=choices_of(StockSheetKind))
    place = ShopForeignKey(StockPlace, related_name="sheets", null=True)
    catalog_part_ids = models.JSONField(default=list, blank=True)
    shows_levels = models.BooleanField(default=True)
    state = models.CharField(max_length=7, default="waiting", choices=choices_of(StockSheetState))
    reason = models.TextField(default="", blank=True)
    document = ShopForeignKey(Document, related_name="+", null=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="ready_stock_sheet_has_a_document",
                condition=~models.Q(state="ready") | models.Q(document__isnull=False),
            ),
        )
