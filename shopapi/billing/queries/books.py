"""Reads for the bookkeeper: registers and journal. Each makes a fixed number of queries, however long the period."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, cast
from uuid import UUID

from django.db.models import Q, QuerySet

from shopapi.accounts.queries import shop_of
from shopapi.billing.models import Invoice, InvoiceLine, Payment
from shopapi.billing.queries.closing import closed_through
from shopapi.billing.queries.invoices import settings_of
from shopapi.billing.rules.invoices import InvoiceState, sign_of
from shopapi.billing.rules.journal import Billed, Paid, journal
from shopapi.billing.rules.payments import PaymentKind, tip_in, toward_bill
from shopapi.billing.rules.registers import (
    InvoiceRegister,
    InvoiceRegisterRow,
    Journal,
    LineRegister,
    LineRegisterRow,
    PaymentRegister,
    PaymentRegisterRow,
    RegisterTax,
)
from shopapi.core.actor import Actor
from shopapi.core.clock import today
from shopapi.core.errors import FieldError, Invalid
from shopapi.core.money import minor_digits
from shopapi.core.schema import parse
from shopapi.quotes.rules.totals import QuoteTotals

LONGEST = timedelta(days=3 * 366)
NUMBERED = (InvoiceState.ISSUED, InvoiceState.CANCELLED)
Days = tuple[date, date]


def days_asked(actor: Actor, first: date | None, last: date | None) -> Days:
    """From one day to another, both included; the current month where none is named. Raises Invalid."""
    current = today(shop_of(actor).zone)
    found = (first or (last or current).replace(day=1), last or max(current, first or current))
    if found[0] > found[1] or found[1] - found[0] > LONGEST:
        context = {"days": LONGEST.days}
        raise Invalid("invalid", fields=[FieldError("last", "books_period_invalid", context=context)])
    return found


def invoice_register(actor: Actor, days: Days) -> InvoiceRegister:
    """The issued documents of a period."""
    rows = [_document_row(invoice, _totals(invoice)) for invoice in _documents(actor, Q(issued_on__range=days))]
    return InvoiceRegister(
        **_head(actor, days),
        rows=rows,
        net_minor=sum(row.net_minor for row in rows),
        tax_minor=sum(row.tax_minor for row in rows),
        total_minor=sum(row.total_minor for row in rows),
    )


def line_register(actor: Actor, days: Days) -> LineRegister:
    """Every line of those documents, and what was added to them."""
    documents = list(_documents(actor, Q(issued_on__range=days)))
    lines = _lines(actor, Q(invoice__issued_on__range=days))
    rows = [row for invoice in documents for row in _line_rows(invoice, lines.get(invoice.id, {}))]
    return LineRegister(**_head(actor, days), rows=rows, amount_minor=sum(row.amount_minor for row in rows))


def payment_register(actor: Actor, days: Days) -> PaymentRegister:
    """The entries of money of a period."""
    rows = [
        PaymentRegisterRow(
            payment_id=one.id,
            paid_on=one.paid_on,
            kind=one.kind,
            method=one.method,
            customer_id=one.customer_id,
            customer=one.customer.name,
            job_number="" if one.job is None else str(one.job),
            reference=one.reference,
            amount_minor=toward_bill(one),
            tip_minor=tip_in(one),
            reverses_id=one.reverses_id,
        )
        for one in _payments(actor, Q(paid_on__range=days))
    ]
    return PaymentRegister(
        **_head(actor, days),
        rows=rows,
        amount_minor=sum(row.amount_minor for row in rows),
        tip_minor=sum(row.tip_minor for row in rows),
    )


def journal_of(actor: Actor, days: Days) -> Journal:
    """The journal of a period."""
    first, last = days
    documents, paid = Q(issued_on__range=days), Q(paid_on__range=days)
    of_period = Invoice.objects.filter(documents, shop=actor.shop_id).values("job_id")
    paid_in_period = Payment.objects.filter(paid, shop=actor.shop_id).values("job_id")
    # What an invoice uses of a deposit follows from all that came before on its job.
    jobs = Q(job_id__in=of_period) | Q(job_id__in=paid_in_period)
    found = _documents(actor, (documents | jobs) & Q(issued_on__lte=last))
    lines = _lines(actor, Q(invoice__in=found.order_by().values("id")))
    billed = [_billed(invoice, lines.get(invoice.id, {})) for invoice in found]
    entries = journal(
        billed,
        [_paid(one) for one in _payments(actor, (paid | jobs) & Q(paid_on__lte=last))],
        settings_of(actor).accounts,
    )
    entries = [entry for entry in entries if entry.on >= first]
    postings = [posting.amount_minor for entry in entries for posting in entry.postings]
    return Journal(
        **_head(actor, days),
        entries=entries,
        debit_minor=sum(minor for minor in postings if minor > 0),
        credit_minor=-sum(minor for minor in postings if minor < 0),
    )


def _head(actor: Actor, days: Days) -> dict[str, Any]:
    currency = shop_of(actor).currency
    return {
        "first": days[0],
        "last": days[1],
        "currency": currency,
        "minor_digits": minor_digits(currency),
        "closed_through": closed_through(actor),
    }


def _documents(actor: Actor, which: Q) -> QuerySet[Invoice]:
    found = Invoice.objects.filter(which, shop=actor.shop_id, state__in=NUMBERED)
    return found.select_related("job").order_by("issued_on", "issued_at", "number")


def _payments(actor: Actor, which: Q) -> QuerySet[Payment]:
    found = Payment.objects.filter(which, shop=actor.shop_id).select_related("customer", "job")
    return found.order_by("paid_on", "paid_at", "id")


@dataclass(frozen=True)
class _LineWords:
    kind: str
    source: str
    part_number: str
    words: str
    quantity: Any


def _lines(actor: Actor, which: Q) -> dict[UUID, dict[UUID, _LineWords]]:
    """Lines by invoice and id. Plain values: of 100,000 rows, models would take most of the time."""
    found: dict[UUID, dict[UUID, _LineWords]] = {}
    rows = InvoiceLine.objects.filter(which, shop=actor.shop_id, invoice__state__in=NUMBERED)
    names = ("invoice_id", "id", "kind", "source", "part_number", "words", "quantity", "hours", "distance")
    for invoice_id, row_id, kind, source, part_number, words, quantity, hours, distance in rows.values_list(*names):
        amount = next((one for one in (quantity, hours, distance) if one is not None), None)
        found.setdefault(invoice_id, {})[row_id] = _LineWords(kind, source, part_number or "", words, amount)
    return found


def _totals(invoice: Invoice) -> QuoteTotals:
    return parse(QuoteTotals, invoice.totals)


def _numbered(invoice: Invoice) -> tuple[str, date, dict[str, Any]]:
    """Number, day and names of an issued document; the database lets no such row be without them."""
    return cast("tuple[str, date, dict[str, Any]]", (invoice.number, invoice.issued_on, invoice.shown))


def _document_row(invoice: Invoice, totals: QuoteTotals) -> InvoiceRegisterRow:
    sign, (number, issued_on, shown) = sign_of(invoice.kind), _numbered(invoice)
    return InvoiceRegisterRow(
        invoice_id=invoice.id,
        number=number,
        kind=invoice.kind,
        issued_on=issued_on,
        due_on=invoice.due_on,
        credited_number=shown["credited_number"],
        customer_id=invoice.customer_id,
        customer=shown["customer"]["name"],
        job_number=shown["job_number"],
        exempt=invoice.exempt,
        net_minor=sign * totals.net_minor,
        tax_minor=sign * totals.tax_minor,
        total_minor=sign * totals.total_minor,
        taxes=[
            RegisterTax(
                label=row.label,
                percent=row.percent,
                base_minor=sign * row.base_minor,
                tax_minor=sign * row.tax_minor,
            )
            for row in totals.tax
        ],
    )


def _line_rows(invoice: Invoice, lines: dict[UUID, _LineWords]) -> Iterable[LineRegisterRow]:
    totals, sign = _totals(invoice), sign_of(invoice.kind)
    number, issued_on, _ = _numbered(invoice)
    for line in totals.lines:
        words = lines[line.id]
        yield LineRegisterRow(
            number=number,
            issued_on=issued_on,
            kind=words.kind,
            source=words.source,
            part_number=words.part_number,
            words=words.words,
            quantity=words.quantity,
            taxable=line.taxable,
            amount_minor=sign * line.amount_minor,
        )
    for added in totals.added:
        yield LineRegisterRow(
            number=number,
            issued_on=issued_on,
            kind=added.key,
            source="",
            part_number="",
            words="",
            quantity=None,
            taxable=added.taxable,
            amount_minor=sign * added.amount_minor,
        )


def _billed(invoice: Invoice, lines: dict[UUID, _LineWords]) -> Billed:
    number, issued_on, shown = _numbered(invoice)
    return Billed(
        number=number,
        on=issued_on,
        job_id=invoice.job_id,
        customer=shown["customer"]["name"],
        sign=sign_of(invoice.kind),
        totals=_totals(invoice),
        kinds={row_id: words.kind for row_id, words in lines.items()},
    )


def _paid(one: Payment) -> Paid:
    return Paid(
        on=one.paid_on,
        job_id=one.job_id,
        customer=one.customer.name,
        method=one.method,
        is_deposit=one.kind == PaymentKind.DEPOSIT,
        toward_bill=toward_bill(one),
        tip=tip_in(one),
        reference=one.reference,
    )
