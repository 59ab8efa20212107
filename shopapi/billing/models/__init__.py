"""Rows of billing."""

from shopapi.billing.models.closing import PeriodClose
from shopapi.billing.models.invoices import Invoice, InvoiceLine
from shopapi.billing.models.payments import Payment
from shopapi.billing.models.printouts import BillingPrintout
from shopapi.billing.models.settings import BillingSettings
from shopapi.billing.models.unpaid_invoices import UnpaidInvoice

__all__ = ["BillingPrintout", "BillingSettings", "Invoice", "InvoiceLine", "Payment", "PeriodClose", "UnpaidInvoice"]
