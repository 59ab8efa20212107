"""Customers and their sites."""

from django.db import models

from shopapi.accounts.models import ShopForeignKey, ShopOwned
from shopapi.core.enums import choices_of
from shopapi.core.fields import ERASED, personal
from shopapi.core.languages import ENGLISH, Language
from shopapi.customers.rules.customer import ContactWish, PositionSource


class Customer(ShopOwned):
    """A person or business that brings machines. Archived rather than removed once there is work for them.

    `language`: in which they are written to and read quotes and hand-over sheets.
    """

    name = personal(models.CharField(max_length=120), instead=ERASED)
    person = personal(models.CharField(max_length=120, default="", blank=True))
    phone = personal(models.CharField(max_length=120, default="", blank=True))
    second_phone = personal(models.CharField(max_length=120, default="", blank=True))
    phone_digits = personal(models.CharField(max_length=250, default="", blank=True))
    email = personal(models.CharField(max_length=120, default="", blank=True))
    address = personal(models.TextField(default="", blank=True))
    contact_by = models.CharField(max_length=5, default="", blank=True, choices=choices_of(ContactWish))
    notes = personal(models.TextField(default="", blank=True))
    tax_exempt = models.BooleanField(default=False)
    exempt_reason = models.CharField(max_length=120, default="", blank=True)
    archived = models.BooleanField(default=False)
    language = models.CharField(max_length=2, default=ENGLISH, choices=choices_of(Language))

    class Meta:
        # Telephone look-up within the shop.
        indexes = (models.Index(fields=["shop", "phone_digits"], name="customer_by_phone"),)

    def __str__(self) -> str:
        return self.name


class Site(ShopOwned):
    """A place of a customer: position and how sure it is, gate, slope, dog, key."""

    customer = ShopForeignKey(Customer, related_name="sites")
    label = personal(models.CharField(max_length=120), instead=ERASED)
    address = personal(models.TextField(default="", blank=True))
    lat = personal(models.DecimalField(max_digits=9, decimal_places=6, null=True))
    lon = personal(models.DecimalField(max_digits=9, decimal_places=6, null=True))
    position_source = personal(
        models.CharField(max_length=11, default="", blank=True, choices=choices_of(PositionSource))
    )
    position_within_m = personal(models.PositiveIntegerField(null=True))
    access_notes = personal(models.TextField(default="", blank=True))

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="site_has_both_coordinates_or_neither",
                condition=models.Q(lat__isnull=True, lon__isnull=True) | models.Q(lat__isnull=False, lon__isnull=False),
            ),
        )

    def __str__(self) -> str:
        return self.label
