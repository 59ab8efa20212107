"""Money taken and given back."""

from django.db import models

from shopapi.accounts.models import Member, ShopForeignKey, ShopOwned
from shopapi.billing.models.invoices import Invoice
from shopapi.billing.rules.payments import PaymentKind, PaymentMethod
from shopapi.core.enums import choices_of
from shopapi.core.fields import personal
from shopapi.customers.models import Customer
from shopapi.jobs.models import Job


class Payment(ShopOwned):
    """One entry of money; what it counts for is in `rules.payments`. Append-only: a mistake is reversed by another.

    `customer` is who pays: that of the invoice, or of the job where no invoice is named. `job` is that of the invoice.
    `paid_on` is a day of the shop.
    """

    append_only = True

    job = ShopForeignKey(Job, related_name="payments", null=True)
    invoice = ShopForeignKey(Invoice, related_name="payments", null=True)
    customer = ShopForeignKey(Customer, related_name="payments")
    kind = models.CharField(max_length=7, choices=choices_of(PaymentKind))
    method = models.CharField(max_length=8, choices=choices_of(PaymentMethod))
    amount_minor = models.PositiveBigIntegerField()
    tip_minor = models.PositiveBigIntegerField(default=0)
    reference = personal(models.CharField(max_length=120, default="", blank=True))
    note = personal(models.TextField(default="", blank=True))
    paid_at = models.DateTimeField()
    paid_on = models.DateField()
    member = ShopForeignKey(Member, related_name="+", null=True)
    reverses = ShopForeignKey("self", related_name="reversals", null=True)

    class Meta:
        constraints = (
            models.CheckConstraint(name="payment_is_above_zero", condition=models.Q(amount_minor__gt=0)),
            models.CheckConstraint(
                name="only_money_for_a_bill_has_a_tip",
                condition=models.Q(tip_minor=0) | models.Q(kind__in=["payment", "deposit"]),
            ),
            models.CheckConstraint(
                name="payment_is_of_a_job_or_an_invoice",
                condition=models.Q(job__isnull=False) | models.Q(invoice__isnull=False),
            ),
            models.UniqueConstraint(fields=["shop", "reverses"], name="payment_is_reversed_once"),
        )
        # Registers by day, and what a customer paid.
        indexes = (
            models.Index(fields=["shop", "paid_on"], name="payment_by_day"),
            models.Index(fields=["shop", "customer", "paid_on"], name="payment_by_customer"),
        )
