"""Receipts and statements as PDF."""

from django.db import models

from shopapi.accounts.models import ShopForeignKey, ShopOwned
from shopapi.billing.models.payments import Payment
from shopapi.billing.rules.printouts import BillingPrintoutKind, BillingPrintoutState
from shopapi.core.enums import choices_of
from shopapi.customers.models import Customer
from shopapi.documents.models import Document


class BillingPrintout(ShopOwned):
    """A receipt or a statement, made by a worker on request. Its content is of the moment it was made.

    A statement is from `first_on` through `through`, both days of the shop; a receipt has neither.
    """

    kind = models.CharField(max_length=9, choices=choices_of(BillingPrintoutKind))
    customer = ShopForeignKey(Customer, related_name="billing_printouts")
    payment = ShopForeignKey(Payment, related_name="printouts", null=True)
    first_on = models.DateField(null=True)
    through = models.DateField(null=True)
    state = models.CharField(max_length=7, default="waiting", choices=choices_of(BillingPrintoutState))
    reason = models.TextField(default="", blank=True)
    document = ShopForeignKey(Document, related_name="+", null=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="ready_billing_printout_has_a_document",
                condition=~models.Q(state="ready") | models.Q(document__isnull=False),
            ),
            models.CheckConstraint(
                name="receipt_has_a_payment_and_statement_its_days",
                condition=models.Q(kind="receipt", payment__isnull=False, first_on__isnull=True, through__isnull=True)
                | models.Q(kind="statement", payment__isnull=True, first_on__isnull=False, through__isnull=False),
            ),
        )
