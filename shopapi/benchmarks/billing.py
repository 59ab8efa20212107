"""`benchmark billing`: totals of invoices in Python and by the phone's code in Node, registers, journal, files.

Both languages calculate the same 1,000 invoices of 20 lines, and must come to the same totals. Registers are made of
100,000 lines in memory: from the rows of issued invoices to the bytes of the files. Needs no database.
"""

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from functools import partial
from typing import Any
from uuid import UUID

from shopapi.benchmarks.bench import in_node
from shopapi.benchmarks.recorder import REPEATS, Recorder
from shopapi.billing.rules.einvoice.cii import write_cii
from shopapi.billing.rules.einvoice.of_invoice import IssuedDocument, einvoice_of
from shopapi.billing.rules.einvoice.ubl import write_ubl
from shopapi.billing.rules.invoices import BilledLine, InvoiceKind, InvoiceParty, InvoiceShown
from shopapi.billing.rules.journal import Billed, journal, journal_text
from shopapi.billing.rules.registers import Journal, LineRegister, LineRegisterRow, journal_table, lines_table
from shopapi.billing.rules.settings import Accounts, BillingSettingsFields
from shopapi.core.schema import parse, to_json
from shopapi.quotes.rules.lines import QuoteLine
from shopapi.quotes.rules.price_book import ShopPrices, basis_on
from shopapi.quotes.rules.starting_prices import STARTING_PRICES
from shopapi.quotes.rules.totals import QuoteTotals, compute_totals

SCRIPT = "billing.mts"
INVOICES, LINES = 1_000, 20
REGISTER_LINES = 100_000
FIRST = date(2026, 1, 1)


def measure_billing(figures: Recorder) -> None:
    """Totals in both languages, registers and journal, invoice files."""
    basis, invoices = a_basis(), [invoice_lines(number) for number in range(INVOICES)]
    totals = [compute_totals(basis, lines) for lines in invoices]
    figures.measure("python_totals", partial(_compute, basis, invoices))
    given = {"repeats": REPEATS, "basis": to_json(basis), "invoices": [to_json(lines) for lines in invoices]}
    in_phone = in_node(SCRIPT, given)
    if in_phone:
        if in_phone["totals"] != [found.total_minor for found in totals]:
            raise AssertionError("the phone's totals differ")
        figures.add("phone_code_totals", in_phone["took"], "ms")
    rows = register_rows(invoices, totals)
    figures.measure(f"line_register_of_{len(rows)}", partial(_register, rows))
    billed = billed_documents(invoices, totals)
    figures.measure(f"journal_of_{len(billed)}_invoices", partial(_journal, billed))
    issued = [_issued(f"INV-{at}", basis, lines, totals[at]) for at, lines in enumerate(invoices)]
    figures.measure("invoice_files_ubl_and_cii", partial(_write, issued))


def a_basis() -> ShopPrices:
    """The prices of a new shop with one tax."""
    book = parse(ShopPrices, {**STARTING_PRICES, "currency": "EUR", "minor_digits": 2})
    rates = [{"key": "standard", "label": "VAT", "percent": "19"}]
    profile = to_json(book.tax_profiles[0]) | {"rates": rates, "part": True, "labor": "always", "rounding": "half_away"}
    basis = basis_on(parse(ShopPrices, to_json(book) | {"tax_profiles": [profile]}), FIRST)
    if basis is None:
        raise AssertionError("the starting prices have a profile for every day")
    return basis


def invoice_lines(number: int) -> list[QuoteLine]:
    """20 lines: labor and parts in turn, no two invoices alike."""
    return [_line(number, at) for at in range(LINES)]


def _line(number: int, at: int) -> QuoteLine:
    row_id = UUID(int=number * 1_000 + at + 1)
    same: dict[str, Any] = {"id": str(row_id), "position": at, "rank": "needed", "words": f"Line {at} of {number}"}
    if at % 2:
        cost = 137 + 7 * (number + at) % 9_000
        return parse(QuoteLine, {**same, "kind": "part", "quantity": str(1 + at % 3), "unit_cost_minor": cost})
    return parse(QuoteLine, {**same, "kind": "labor", "hours": f"{1 + (number + at) % 7}.25"})


def _compute(basis: ShopPrices, invoices: Sequence[Sequence[QuoteLine]]) -> None:
    for lines in invoices:
        compute_totals(basis, lines)


def register_rows(invoices: Sequence[Sequence[QuoteLine]], totals: Sequence[QuoteTotals]) -> list[LineRegisterRow]:
    """100,000 rows of lines, of these invoices again and again."""
    rows = [
        LineRegisterRow(
            number=f"INV-{at}",
            issued_on=FIRST + timedelta(days=at % 365),
            kind=line.kind,
            source="quote",
            part_number="",
            words=line.words,
            quantity=line.quantity,
            taxable=found.taxable,
            amount_minor=found.amount_minor,
        )
        for at, (lines, total) in enumerate(zip(invoices, totals, strict=True))
        for line, found in zip(lines, total.lines, strict=True)
    ]
    return rows * (REGISTER_LINES // len(rows))


def _register(rows: list[LineRegisterRow]) -> None:
    lines_table(LineRegister(**_head(), rows=rows, amount_minor=sum(row.amount_minor for row in rows)))


def _head() -> Mapping[str, Any]:
    last = FIRST + timedelta(days=364)
    return {"first": FIRST, "last": last, "currency": "EUR", "minor_digits": 2, "closed_through": None}


def billed_documents(invoices: Sequence[Sequence[QuoteLine]], totals: Sequence[QuoteTotals]) -> list[Billed]:
    """Documents with 100,000 lines together, of these invoices again and again."""
    found = [
        Billed(
            f"INV-{at}", FIRST + timedelta(days=at % 365), None, "Bench", 1, total, {one.id: one.kind for one in lines}
        )
        for at, (lines, total) in enumerate(zip(invoices, totals, strict=True))
    ]
    return found * (REGISTER_LINES // (LINES * len(found)))


def _journal(billed: Sequence[Billed]) -> None:
    entries = journal(billed, [], Accounts())
    journal_text(entries, title="Journal", currency="EUR", digits=2)
    journal_table(Journal(**_head(), entries=entries, debit_minor=0, credit_minor=0))


def _issued(number: str, basis: ShopPrices, lines: Sequence[QuoteLine], totals: QuoteTotals) -> IssuedDocument:
    return IssuedDocument(
        kind=InvoiceKind.INVOICE,
        number=number,
        issued_on=FIRST,
        due_on=FIRST,
        shown=InvoiceShown(
            seller=InvoiceParty(name="Bench", country="DE", tax_number="DE123456789"),
            customer=InvoiceParty(name="Customer"),
        ),
        book=basis,
        lines=tuple(BilledLine(**line.model_dump()) for line in lines),
        exempt=False,
        totals=totals,
        note="",
    )


def _write(issued: Sequence[IssuedDocument]) -> None:
    settings = BillingSettingsFields()
    for one in issued:
        document = einvoice_of(one, settings)
        write_ubl(document)
        write_cii(document)
