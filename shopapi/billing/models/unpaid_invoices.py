"""Which invoices have something open, by the day on which they were due."""

from django.db import models

from shopapi.accounts.models import ShopForeignKey, ShopOwned
from shopapi.billing.models.invoices import Invoice
from shopapi.customers.models import Customer


class UnpaidInvoice(ShopOwned):
    """An issued invoice of which something is open; there is no row once it is paid or credited.

    An index of its own, since neither an issued invoice nor a payment changes: who is late is found without reading
    what was ever billed and paid. How much is open is worked out, not stored.
    """

    invoice = ShopForeignKey(Invoice, related_name="+")
    customer = ShopForeignKey(Customer, related_name="+")
    due_on = models.DateField()

    class Meta:
        constraints = (models.UniqueConstraint(fields=["shop", "invoice"], name="unpaid_invoice_once"),)
        # What was due by a day.
        indexes = (models.Index(fields=["shop", "due_on"], name="unpaid_invoice_by_due_day"),)

    def __str__(self) -> str:
        return f"{self.invoice}, due {self.due_on}"
