"""Parts in the shop's own catalog."""

from django.db import models

from shopapi.accounts.models import ShopForeignKey, ShopOwned
from shopapi.parts.models.suppliers import Supplier


class CatalogPart(ShopOwned):
    """A part that the shop knows. Amounts are for one."""

    supplier = ShopForeignKey(Supplier, related_name="catalog_parts", null=True)
    number = models.CharField(max_length=60, default="", blank=True)
    description = models.CharField(max_length=120)
    superseded_by = models.CharField(max_length=60, default="", blank=True)
    cost_minor = models.BigIntegerField(null=True)
    price_minor = models.BigIntegerField(null=True)
    core_minor = models.BigIntegerField(default=0)
    minimum = models.DecimalField(max_digits=11, decimal_places=6, default=0)
    bin = models.CharField(max_length=120, default="", blank=True)
    note = models.TextField(default="", blank=True)
    archived = models.BooleanField(default=False)

    class Meta:
        # A part by its number.
        indexes = (models.Index(fields=["shop", "number"], name="catalog_part_by_number"),)

    def __str__(self) -> str:
        return f"{self.number} {self.description}".strip()
