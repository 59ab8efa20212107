"""The issued document as plain JSON, which is hashed: everything that is printed, and no more."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from shopapi.billing.rules.invoices import BilledLine, InvoiceKind, InvoiceShown
from shopapi.core.schema import to_json
from shopapi.quotes.rules.lines import Discount
from shopapi.quotes.rules.offer import offer_lines
from shopapi.quotes.rules.price_book import ShopPrices
from shopapi.quotes.rules.totals import QuoteTotals

FORMAT = "drawbar-invoice-1-rfc8785"


def invoice_document(
    *,
    kind: InvoiceKind,
    number: str,
    issued_on: date,
    due_on: date | None,
    shown: InvoiceShown,
    book: ShopPrices,
    lines: Sequence[BilledLine],
    discount: Discount,
    exempt: bool,
    totals: QuoteTotals,
    note: str,
) -> dict[str, Any]:
    """Numbers, names, lines and amounts of an invoice or a credit note. Amounts are minor units, of both positive."""
    return {
        "format": FORMAT,
        "kind": kind,
        "number": number,
        "issued_on": issued_on.isoformat(),
        "due_on": None if due_on is None else due_on.isoformat(),
        "shown": to_json(shown),
        "currency": book.currency,
        "minor_digits": book.minor_digits,
        "prices_hold_tax": book.tax_profiles[0].inclusive,
        "exempt": exempt,
        "lines": offer_lines(book, lines, discount=discount, exempt=exempt),
        "totals": to_json(totals),
        "note": note,
    }
