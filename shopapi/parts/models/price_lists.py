"""Price lists of suppliers, and what they list."""

from django.db import models

from shopapi.accounts.models import ShopForeignKey, ShopOwned
from shopapi.core.enums import choices_of
from shopapi.parts.models.suppliers import Supplier
from shopapi.parts.rules.price_list_schemas import PriceListState


class SupplierPriceList(ShopOwned):
    """An uploaded price list, and what its import did. `content` is the file until it is imported."""

    supplier = ShopForeignKey(Supplier, related_name="price_lists")
    file_name = models.CharField(max_length=120)
    digest = models.CharField(max_length=64)
    content = models.BinaryField(default=b"")
    state = models.CharField(max_length=8, choices=choices_of(PriceListState), default=PriceListState.UPLOADED)
    new = models.PositiveIntegerField(default=0)
    changed = models.PositiveIntegerField(default=0)
    same = models.PositiveIntegerField(default=0)
    gone = models.PositiveIntegerField(default=0)
    catalog_changed = models.PositiveIntegerField(default=0)
    refused = models.JSONField(default=list)

    def __str__(self) -> str:
        return self.file_name


class SupplierPrice(ShopOwned):
    """A part as a supplier lists it; amounts are for one. Not stored on phones: lists are long."""

    supplier = ShopForeignKey(Supplier, related_name="prices")
    number = models.CharField(max_length=60)
    number_key = models.CharField(max_length=60)
    description = models.CharField(max_length=200, default="", blank=True)
    superseded_by = models.CharField(max_length=60, default="", blank=True)
    cost_minor = models.BigIntegerField(null=True)
    price_minor = models.BigIntegerField(null=True)
    core_minor = models.BigIntegerField(null=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["shop", "supplier", "number_key"], name="supplier_lists_a_number_once"),
        )
        # A number over the lists of all suppliers.
        indexes = (models.Index(fields=["shop", "number_key"], name="supplier_price_by_number"),)

    def __str__(self) -> str:
        return self.number
