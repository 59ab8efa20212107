"""The billing settings of a shop."""

from django.contrib.postgres.fields import ArrayField
from django.db import models

from shopapi.accounts.models import ShopOwned
from shopapi.billing.rules.settings import LaborBilling, no_accounts
from shopapi.core.enums import choices_of


class BillingSettings(ShopOwned):
    """How a shop bills and is paid; one row per shop, with the shop's id. The fields are explained in `rules`."""

    payment_days = models.PositiveSmallIntegerField(default=14)
    labor = models.CharField(max_length=9, default="as_quoted", choices=choices_of(LaborBilling))
    tolerance_minor = models.PositiveBigIntegerField(default=0)
    invoice_prefix = models.CharField(max_length=8, default="INV")
    credit_prefix = models.CharField(max_length=8, default="CN")
    invoice_words = models.TextField(default="", blank=True)
    receipt_words = models.TextField(default="", blank=True)
    legal_name = models.CharField(max_length=120, default="", blank=True)
    street = models.CharField(max_length=300, default="", blank=True)
    city = models.CharField(max_length=120, default="", blank=True)
    region = models.CharField(max_length=120, default="", blank=True)
    postcode = models.CharField(max_length=20, default="", blank=True)
    country = models.CharField(max_length=2, default="", blank=True)
    tax_number = models.CharField(max_length=40, default="", blank=True)
    company_number = models.CharField(max_length=40, default="", blank=True)
    iban = models.CharField(max_length=42, default="", blank=True)
    bic = models.CharField(max_length=11, default="", blank=True)
    account_name = models.CharField(max_length=70, default="", blank=True)
    payment_url = models.CharField(max_length=120, default="", blank=True)
    reminder_days = ArrayField(models.PositiveSmallIntegerField(), default=list, blank=True)
    warranty_days = models.PositiveSmallIntegerField(null=True, blank=True)
    warranty_hours = models.DecimalField(max_digits=11, decimal_places=6, null=True, blank=True)
    hour_cost_minor = models.PositiveBigIntegerField(null=True, blank=True)
    accounts = models.JSONField(default=no_accounts)

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="billing_settings_have_the_id_of_their_shop", condition=models.Q(id=models.F("shop"))
            ),
        )
