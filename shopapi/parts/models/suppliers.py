"""Suppliers of the shop."""

from django.contrib.postgres.fields import ArrayField
from django.db import models

from shopapi.accounts.models import ShopOwned
from shopapi.accounts.rules import WeekDay
from shopapi.core.enums import choices_of
from shopapi.parts.rules.suppliers import OrderBy


class Supplier(ShopOwned):
    """Where parts come from. Orders refer to it, so it is archived and not removed."""

    name = models.CharField(max_length=120)
    email = models.CharField(max_length=120, default="", blank=True)
    phone = models.CharField(max_length=120, default="", blank=True)
    website = models.CharField(max_length=200, default="", blank=True)
    customer_number = models.CharField(max_length=120, default="", blank=True)
    order_by = models.CharField(max_length=10, default=OrderBy.MAIL, choices=choices_of(OrderBy))
    lead_days = models.PositiveSmallIntegerField(null=True)
    note = models.TextField(default="", blank=True)
    archived = models.BooleanField(default=False)
    address = models.TextField(default="", blank=True)
    lat = models.DecimalField(max_digits=9, decimal_places=6, null=True)
    lon = models.DecimalField(max_digits=9, decimal_places=6, null=True)
    opens = models.CharField(max_length=5, default="", blank=True)
    closes = models.CharField(max_length=5, default="", blank=True)
    open_on = ArrayField(models.CharField(max_length=9, choices=choices_of(WeekDay)), default=list)
    stop_minutes = models.PositiveSmallIntegerField(null=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="supplier_has_both_coordinates_or_neither",
                condition=models.Q(lat__isnull=True, lon__isnull=True) | models.Q(lat__isnull=False, lon__isnull=False),
            ),
            models.CheckConstraint(
                name="supplier_opens_before_it_closes",
                condition=models.Q(opens="", closes="") | ~models.Q(opens="") & models.Q(closes__gt=models.F("opens")),
            ),
        )

    def __str__(self) -> str:
        return self.name
