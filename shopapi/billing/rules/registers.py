"""Registers for the bookkeeper: issued documents, their lines, and payments, of a period.

Amounts are minor units in JSON and decimals in CSV; those of a credit note and of money given back are below zero. Days
are ISO 8601. Texts in CSV are escaped so that none is read as a formula (`labor.rules.csv_table`).
"""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from uuid import UUID

from shopapi.billing.rules.journal import JournalEntry
from shopapi.core.schema import DecimalText, Schema
from shopapi.labor.rules.csv_table import Cell, sheet


class RegisterTax(Schema):
    """One rate's part of the tax of a document."""

    label: str
    percent: DecimalText
    base_minor: int
    tax_minor: int


class InvoiceRegisterRow(Schema):
    """One issued invoice or credit note."""

    invoice_id: UUID
    number: str
    kind: str
    issued_on: date
    due_on: date | None
    credited_number: str
    customer_id: UUID
    customer: str
    job_number: str
    exempt: bool
    net_minor: int
    tax_minor: int
    total_minor: int
    taxes: list[RegisterTax]


class _Register(Schema):
    first: date
    last: date
    currency: str
    minor_digits: int
    closed_through: date | None


class InvoiceRegister(_Register):
    """The documents of a period in the order of their days and numbers, with the sums."""

    rows: list[InvoiceRegisterRow]
    net_minor: int
    tax_minor: int
    total_minor: int


class LineRegisterRow(Schema):
    """One line of a document, or an amount that is added to its lines (`kind` then says which)."""

    number: str
    issued_on: date
    kind: str
    source: str
    part_number: str
    words: str
    quantity: DecimalText | None
    taxable: bool
    amount_minor: int


class LineRegister(_Register):
    rows: list[LineRegisterRow]
    amount_minor: int


class PaymentRegisterRow(Schema):
    """One entry of money. `amount_minor`: for the bill; `tip_minor` on top of it."""

    payment_id: UUID
    paid_on: date
    kind: str
    method: str
    customer_id: UUID
    customer: str
    job_number: str
    reference: str
    amount_minor: int
    tip_minor: int
    reverses_id: UUID | None


class PaymentRegister(_Register):
    rows: list[PaymentRegisterRow]
    amount_minor: int
    tip_minor: int


class Journal(_Register):
    """The double-entry journal; the debits of each entry equal its credits."""

    entries: list[JournalEntry]
    debit_minor: int
    credit_minor: int


def exact(minor: int, digits: int) -> Decimal:
    """Minor units as a decimal of the currency.

    >>> exact(-1250, 2), exact(7, 0)
    (Decimal('-12.50'), Decimal('7'))
    """
    return Decimal(minor).scaleb(-digits)


def _file(name: str, register: _Register, columns: Sequence[str], rows: list[tuple[Cell, ...]]) -> tuple[bytes, str]:
    return sheet(columns, rows), f"{name}-{register.first}-{register.last}.csv"


def invoices_table(register: InvoiceRegister) -> tuple[bytes, str]:
    """One row for each rate of a document, so that tax can be summed by rate; net and total stand in the first one."""
    rows: list[tuple[Cell, ...]] = []
    digits = register.minor_digits
    for row in register.rows:
        head = (row.issued_on.isoformat(), row.number, row.kind, row.credited_number, row.customer, row.job_number)
        due = "" if row.due_on is None else row.due_on.isoformat()
        whole: tuple[Cell, ...] = (exact(row.net_minor, digits), exact(row.total_minor, digits))
        for tax in row.taxes:
            base, amount = exact(tax.base_minor, digits), exact(tax.tax_minor, digits)
            rows.append((*head, due, register.currency, *whole, tax.label, tax.percent, base, amount))
            whole = (None, None)
        if not row.taxes:
            rows.append((*head, due, register.currency, *whole, "", None, None, None))
    columns = ("issued on", "number", "kind", "credits", "customer", "job", "due on", "currency", "net", "total")
    return _file("invoices", register, (*columns, "tax", "percent", "taxed amount", "tax amount"), rows)


def lines_table(register: LineRegister) -> tuple[bytes, str]:
    digits = register.minor_digits
    rows: list[tuple[Cell, ...]] = [
        (
            row.issued_on.isoformat(),
            row.number,
            row.kind,
            row.source,
            row.part_number,
            row.words,
            row.quantity,
            "yes" if row.taxable else "no",
            exact(row.amount_minor, digits),
        )
        for row in register.rows
    ]
    columns = ("issued on", "number", "kind", "source", "part number", "words", "quantity", "taxable", "amount")
    return _file("invoice-lines", register, columns, rows)


def payments_table(register: PaymentRegister) -> tuple[bytes, str]:
    digits = register.minor_digits
    rows: list[tuple[Cell, ...]] = [
        (
            row.paid_on.isoformat(),
            row.kind,
            row.method,
            row.customer,
            row.job_number,
            row.reference,
            register.currency,
            exact(row.amount_minor, digits),
            exact(row.tip_minor, digits),
            "" if row.reverses_id is None else str(row.reverses_id),
        )
        for row in register.rows
    ]
    columns = ("paid on", "kind", "method", "customer", "job", "reference", "currency", "amount", "tip", "reverses")
    return _file("payments", register, columns, rows)


def journal_table(register: Journal) -> tuple[bytes, str]:
    """One row for each posting; `entry` numbers the entries of the file."""
    digits = register.minor_digits
    rows: list[tuple[Cell, ...]] = [
        (
            entry.on.isoformat(),
            at,
            entry.document,
            entry.words,
            posting.account,
            exact(posting.amount_minor, digits) if posting.amount_minor > 0 else None,
            exact(-posting.amount_minor, digits) if posting.amount_minor < 0 else None,
        )
        for at, entry in enumerate(register.entries, start=1)
        for posting in entry.postings
    ]
    return _file("journal", register, ("day", "entry", "document", "words", "account", "debit", "credit"), rows)
