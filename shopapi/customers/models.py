"""Customers and their sites."""

from django.db import models

from shopapi.accounts.models import ShopForeignKey, ShopOwned
from shopapi.core.enums import choices_of
from shopapi.core.fields import ERASED, personal
from shopapi.core.languages import ENGLISH, Language
from shopapi.customers.rules.customer import ContactWish, PositionSource
from shopapi.customers.rules.import_schemas import ImportState


class Customer(ShopOwned):
    """A person or business that brings machines. Archived rather than removed once there is work for them.

    `country` is that of the address (ISO 3166-1); empty: the shop's.
    `language`: in which they are written to and read quotes and hand-over sheets.
    """

    name = personal(models.CharField(max_length=120), instead=ERASED)
    person = personal(models.CharField(max_length=120, default="", blank=True))
    phone = personal(models.CharField(max_length=120, default="", blank=True))
    second_phone = personal(models.CharField(max_length=120, default="", blank=True))
    phone_digits = personal(models.CharField(max_length=250, default="", blank=True))
    email = personal(models.CharField(max_length=120, default="", blank=True))
    address = personal(models.TextField(default="", blank=True))
    country = personal(models.CharField(max_length=2, default="", blank=True))
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


class CustomerImport(ShopOwned):
    """An address book that was uploaded, and what its import has done so far.

    `content` is the file until the import starts, `cards` what is still to be added from `done` on, as
    `import_cards.to_json` writes it; both are empty afterwards. `customers` are the rows of the file that were
    added, each with the id of its customer; `refused` says why others were not, by row and without any cell's text.
    Nothing here is marked as personal, since a file is about many: `erase_from_imports` erases one customer from it.
    """

    file_name = models.CharField(max_length=120)
    digest = models.CharField(max_length=64)
    content = models.BinaryField(default=b"")
    state = models.CharField(max_length=10, choices=choices_of(ImportState), default=ImportState.UPLOADED)
    cards = models.JSONField(default=list)
    total = models.PositiveIntegerField(default=0)
    done = models.PositiveIntegerField(default=0)
    customers = models.JSONField(default=list)
    left_out = models.PositiveIntegerField(default=0)
    refused = models.JSONField(default=list)
    started_at = models.DateTimeField(null=True)

    class Meta:
        # Whether this file was imported before.
        indexes = (models.Index(fields=["shop", "digest"], name="import_by_digest"),)

    def __str__(self) -> str:
        return self.file_name
