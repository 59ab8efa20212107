"""Reads of payments: what a job or an invoice has paid and has open."""

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from shopapi.billing.models import Invoice, Payment
from shopapi.billing.rules.balances import Balance, Due, Entry, balance_of
from shopapi.billing.rules.invoices import InvoiceKind, InvoiceState
from shopapi.billing.rules.payments import PaymentMethod, credit_of, toward_bill
from shopapi.core.actor import Actor

# Of an issued invoice; the database holds it as JSON.
TOTAL = "totals__total_minor"


@dataclass(frozen=True)
class Account:
    """What is settled together: the invoices and entries of one payer on a job, or an invoice without a job."""

    job_id: UUID | None
    invoice_id: UUID | None
    customer_id: UUID


def account_of(payment: Payment) -> Account:
    return Account(payment.job_id, payment.invoice_id, payment.customer_id)


def account_of_invoice(invoice: Invoice) -> Account:
    """What the invoice is settled with."""
    return Account(invoice.job_id, None if invoice.job_id else invoice.id, invoice.customer_id)


def account_of_corrected(invoice: Invoice) -> Account:
    """What an invoice is settled with, or the invoice that a credit note corrects."""
    corrected = invoice.credited_id or invoice.id
    return Account(invoice.job_id, None if invoice.job_id else corrected, invoice.customer_id)


def payments(actor: Actor) -> QuerySet[Payment]:
    return Payment.objects.filter(shop=actor.shop_id)


def entries_of(actor: Actor, account: Account) -> QuerySet[Payment]:
    """The entries of an account in the order they were made."""
    found = payments(actor).order_by("paid_at", "id")
    if account.job_id is None:
        return found.filter(job=None, invoice=account.invoice_id)
    return found.filter(job=account.job_id, customer=account.customer_id)


def account_balance(actor: Actor, account: Account) -> Balance:
    """What is billed, paid and open on an account."""
    entries = [Entry(one.invoice_id, toward_bill(one)) for one in entries_of(actor, account)]
    return balance_of(dues_of(actor, account), entries)


def paid_before(actor: Actor, invoice: Invoice, total_minor: int) -> int:
    """What deposits and payments that are known now pay of an invoice that is about to be issued, in minor units."""
    account = account_of_invoice(invoice)
    dues = [*dues_of(actor, account), Due(invoice.id, total_minor)]
    entries = [Entry(one.invoice_id, toward_bill(one)) for one in entries_of(actor, account)]
    return balance_of(dues, entries).paid_on[-1]


def dues_of(actor: Actor, account: Account) -> list[Due]:
    """The issued invoices of an account less their credit notes, in the order of issue."""
    issued = Invoice.objects.filter(shop=actor.shop_id).exclude(state=InvoiceState.DRAFT)
    bills = issued.filter(kind=InvoiceKind.INVOICE)
    if account.job_id is not None:
        bills = bills.filter(job=account.job_id, customer=account.customer_id)
    else:
        bills = bills.filter(id__in=[account.invoice_id])
    notes = issued.filter(kind=InvoiceKind.CREDIT_NOTE, credited__in=bills.values("id"))
    credited: dict[Any, int] = {}
    for invoice_id, minor in notes.values_list("credited_id", TOTAL):
        credited[invoice_id] = credited.get(invoice_id, 0) + minor
    billed = bills.order_by("issued_at", "id").values_list("id", TOTAL)
    return [Due(invoice_id, minor - credited.get(invoice_id, 0)) for invoice_id, minor in billed]


def credit_of_customer(actor: Actor, customer_id: UUID) -> int:
    """What the shop keeps for a customer, in minor units."""
    return credit_of(payments(actor).filter(customer=customer_id, method=PaymentMethod.CREDIT))
