"""Parts that jobs need."""

from django.db import models

from shopapi.accounts.models import ShopForeignKey, ShopOwned
from shopapi.core.enums import choices_of
from shopapi.jobs.models import Finding, Job
from shopapi.parts.models.catalog import CatalogPart
from shopapi.parts.models.suppliers import Supplier
from shopapi.parts.rules.needs import PartState


class PartNeed(ShopOwned):
    """A part that a job needs. Amounts are for one.

    `line_id` is the line of a quote that offers it; no key, since quotes are an app above. One that follows from an
    accepted line has the id of that line.
    """

    job = ShopForeignKey(Job, related_name="part_needs")
    finding = ShopForeignKey(Finding, related_name="part_needs", null=True)
    line_id = models.UUIDField(null=True)
    catalog_part = ShopForeignKey(CatalogPart, related_name="needs", null=True)
    supplier = ShopForeignKey(Supplier, related_name="needs", null=True)
    number = models.CharField(max_length=60, default="", blank=True)
    superseded_by = models.CharField(max_length=60, default="", blank=True)
    description = models.CharField(max_length=120)
    quantity = models.DecimalField(max_digits=11, decimal_places=6)
    cost_minor = models.BigIntegerField(null=True)
    agreed_minor = models.BigIntegerField(null=True)
    price_minor = models.BigIntegerField(null=True)
    # By the price paid at its last arrival; for members who see no costs.
    above_agreed = models.BooleanField(default=False)
    core_minor = models.BigIntegerField(default=0)
    book_page = models.CharField(max_length=120, default="", blank=True)
    state = models.CharField(max_length=14, default=PartState.WANTED, choices=choices_of(PartState))
    # The place of the stock that it was taken from.
    used_from_id = models.UUIDField(null=True)
    fitted_at = models.DateTimeField(null=True)
    note = models.TextField(default="", blank=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="fitted_part_has_time",
                condition=models.Q(state="fitted", fitted_at__isnull=False)
                | (~models.Q(state="fitted") & models.Q(fitted_at__isnull=True)),
            ),
        )
        indexes = (
            # What is to be ordered or waited for, over all jobs.
            models.Index(fields=["shop", "state"], name="part_need_by_state"),
            models.Index(fields=["shop", "line_id"], name="part_need_by_line"),
        )

    def __str__(self) -> str:
        return self.description
