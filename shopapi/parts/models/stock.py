"""Places of the stock, and what was moved to and from them."""

from django.db import models

from shopapi.accounts.models import Member, ShopForeignKey, ShopOwned
from shopapi.core.enums import choices_of
from shopapi.parts.models.catalog import CatalogPart
from shopapi.parts.models.needs import PartNeed
from shopapi.parts.rules.stock import StockMoveReason, StockPlaceKind


class StockPlace(ShopOwned):
    """A shelf or a truck. Moves refer to it, so it is archived and not removed."""

    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=5, default=StockPlaceKind.SHELF, choices=choices_of(StockPlaceKind))
    holder = ShopForeignKey(Member, related_name="+", null=True)
    archived = models.BooleanField(default=False)

    def __str__(self) -> str:
        return self.name


class StockMove(ShopOwned):
    """Parts put to a place or taken from it. Append-only: a mistake is corrected by a count or an opposite move."""

    append_only = True

    catalog_part = ShopForeignKey(CatalogPart, related_name="moves")
    place = ShopForeignKey(StockPlace, related_name="moves")
    quantity = models.DecimalField(max_digits=11, decimal_places=6)
    reason = models.CharField(max_length=11, choices=choices_of(StockMoveReason))
    need = ShopForeignKey(PartNeed, related_name="stock_moves", null=True)
    counterpart = ShopForeignKey("self", related_name="counterparts", null=True)
    counted_level = models.DecimalField(max_digits=11, decimal_places=6, null=True)
    note = models.CharField(max_length=120, default="", blank=True)
    moved_at = models.DateTimeField()
    member = ShopForeignKey(Member, related_name="+", null=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="count_has_a_level",
                condition=models.Q(reason="counted", counted_level__isnull=False, counted_level__gte=0)
                | (~models.Q(reason="counted") & models.Q(counted_level__isnull=True) & ~models.Q(quantity=0)),
            ),
        )
        # What is at a place, and what became of a part.
        indexes = (models.Index(fields=["shop", "catalog_part", "place", "moved_at"], name="stock_move_by_part"),)
