"""What each customer owes on a day: open invoices, and money that pays none yet."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from uuid import UUID

from shopapi.billing.models import Invoice, Payment
from shopapi.billing.queries.payments import TOTAL
from shopapi.billing.rules.ageing import OpenAmount
from shopapi.billing.rules.balances import Due, Entry, balance_of
from shopapi.billing.rules.invoices import InvoiceKind, InvoiceState
from shopapi.billing.rules.payments import PaymentMethod, toward_bill
from shopapi.core.actor import Actor


@dataclass(frozen=True)
class OpenBill:
    """An issued invoice, less its credit notes, and what is open of it, in minor units."""

    id: UUID
    number: str
    job_id: UUID | None
    issued_on: date
    due_on: date | None
    total_minor: int
    open_minor: int


@dataclass
class CustomerAccount:
    """`unused_minor`: deposits in hand, what was paid too much, and what the shop keeps as credit."""

    bills: list[OpenBill] = field(default_factory=list)
    unused_minor: int = 0

    @property
    def amounts(self) -> list[OpenAmount]:
        """What is open by its due day; money that pays no invoice is a credit."""
        open_ones = [OpenAmount(bill.due_on, bill.open_minor) for bill in self.bills if bill.open_minor]
        return [*open_ones, OpenAmount(None, -self.unused_minor)] if self.unused_minor else open_ones

    @property
    def open_minor(self) -> int:
        """What is open of all invoices."""
        return sum(bill.open_minor for bill in self.bills)


# Invoices and entries of one payer on a job are settled together, an invoice without a job by itself.
_Key = tuple[UUID | None, UUID | None]


def customer_accounts(
    actor: Actor, through: date, customer_ids: Collection[UUID] | None = None
) -> Mapping[UUID, CustomerAccount]:
    """The accounts of all customers, or of some, by what was issued and paid through a day of the shop."""
    issued = Invoice.objects.filter(shop=actor.shop_id, issued_on__lte=through).exclude(state=InvoiceState.DRAFT)
    entries = Payment.objects.filter(shop=actor.shop_id, paid_on__lte=through).order_by("paid_at", "id")
    if customer_ids is not None:
        issued, entries = issued.filter(customer__in=customer_ids), entries.filter(customer__in=customer_ids)
    credited: dict[UUID | None, int] = {}
    for invoice_id, minor in issued.filter(kind=InvoiceKind.CREDIT_NOTE).values_list("credited_id", TOTAL):
        credited[invoice_id] = credited.get(invoice_id, 0) + minor
    bills: dict[UUID, dict[_Key, list[OpenBill]]] = {}
    rows = issued.filter(kind=InvoiceKind.INVOICE).order_by("issued_at", "id")
    columns = ("customer_id", "id", "number", "job_id", "issued_on", "due_on", TOTAL)
    for customer, invoice_id, number, job_id, issued_on, due_on, total in rows.values_list(*columns):
        left = total - credited.get(invoice_id, 0)
        key = (job_id, None) if job_id else (None, invoice_id)
        bill = OpenBill(invoice_id, number, job_id, issued_on, due_on, left, left)
        bills.setdefault(customer, {}).setdefault(key, []).append(bill)
    paid: dict[UUID, dict[_Key, list[Payment]]] = {}
    for entry in entries:
        key = (entry.job_id, None) if entry.job_id else (None, entry.invoice_id)
        paid.setdefault(entry.customer_id, {}).setdefault(key, []).append(entry)
    return {
        customer: _account(bills.get(customer, {}), paid.get(customer, {}))
        for customer in dict.fromkeys([*bills, *paid])
    }


def _account(bills: Mapping[_Key, list[OpenBill]], paid: Mapping[_Key, list[Payment]]) -> CustomerAccount:
    account = CustomerAccount()
    for key in dict.fromkeys([*bills, *paid]):
        own, entries = bills.get(key, []), paid.get(key, [])
        dues = [Due(bill.id, bill.total_minor) for bill in own]
        balance = balance_of(dues, [Entry(one.invoice_id, toward_bill(one)) for one in entries])
        account.bills += [
            OpenBill(**{**vars(bill), "open_minor": bill.total_minor - minor})
            for bill, minor in zip(own, balance.paid_on, strict=True)
        ]
        account.unused_minor += balance.unused_minor + _kept_as_credit(entries)
    return account


def _kept_as_credit(entries: Iterable[Payment]) -> int:
    """What the shop keeps for a customer of these entries: refunds to credit less what was paid from it."""
    return -sum(toward_bill(one) for one in entries if one.method == PaymentMethod.CREDIT)
