"""Amounts on invoices, receipts and statements stay whole and in their columns, whatever the currency and size.

As `tests/quotes/test_pdf_amounts.py` has it for quotes: read from the boxes that WeasyPrint laid out.
"""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from weasyprint import HTML

from shopapi.billing.rules.invoices import BilledLine
from shopapi.billing.rules.paper.facts import PaperShop
from shopapi.billing.rules.paper.receipt_sheet import lay_out_receipt
from shopapi.billing.rules.paper.statement_sheet import OpenInvoice, StatementEntry, lay_out_statement
from shopapi.core.languages import locale_for
from shopapi.core.money import minor_digits
from shopapi.documents.rules import Figures
from shopapi.documents.services import pdf as pdf_service
from shopapi.documents.services import render_pdf
from shopapi.jobs.rules import FindingRank
from tests.billing.paper_case import paper, receipt, statement
from tests.quotes.pdf_case import book, line_id
from tests.quotes.test_pdf_amounts import COUNTRIES, MOST, texts

PAPERS = ["invoice", "receipt", "statement"]


def _sheet(kind: str, shop: PaperShop) -> tuple[Any, list[int]]:
    """A paper with the largest amounts in every column, and the amounts that it has to show."""
    if kind == "receipt":
        of = receipt(
            toward_minor=MOST, tip_minor=0, billed_minor=MOST, paid_minor=MOST - 1, open_minor=1, unused_minor=0
        )
        return lay_out_receipt(replace(of, kind="payment"), shop=shop), [MOST, MOST - 1]
    if kind == "statement":
        entries = [
            StatementEntry(date(2026, 9, 3), "invoice", "INV-0990", MOST),
            StatementEntry(date(2026, 9, 4), "payment", "check", -MOST + 7),
        ]
        bills = [
            OpenInvoice(f"INV-09{at}", date(2026, month, 14), date(2026, month, 28), MOST - at, MOST - at)
            for at, month in enumerate((4, 8, 9, 10, 11))
        ]
        of_all = statement(before_minor=MOST - 9, entries=entries, open_invoices=bills)
        return lay_out_statement(of_all, shop=shop), [MOST, MOST - 7, MOST - 9, *(one.open_minor for one in bills)]
    priced = book(currency=shop.currency, minor_digits=minor_digits(shop.currency))
    lines = [
        BilledLine(id=line_id(1), position=0, kind="fee", rank=FindingRank.NEEDED, words="Engine", fixed_minor=MOST),
        BilledLine(
            id=line_id(2), position=1, kind="part", rank=FindingRank.NEEDED, words="Deck with all that hangs on it",
            quantity=Decimal("12.125"), unit_price_minor=8_100_000,
        ),
    ]  # fmt: skip
    made = paper(lines, the_book=priced, shop=shop, left=[], declined=[], warranty=[])
    return made.sheet, [MOST, 98_212_500, made.totals.total_minor, made.totals.net_minor]


@pytest.mark.parametrize("kind", PAPERS)
@pytest.mark.parametrize("country", COUNTRIES, ids=" ".join)
def test_every_amount_stands_whole_within_its_column(
    monkeypatch: pytest.MonkeyPatch, country: tuple[str, str], kind: str
) -> None:
    locale, currency = country
    laid_out: list[Any] = []

    class Kept(HTML):  # type: ignore[misc] # WeasyPrint has no types
        def render(self, *args: Any, **options: Any) -> Any:
            laid_out.append(super().render(*args, **options))
            return laid_out[-1]

    monkeypatch.setattr(pdf_service, "HTML", Kept)
    sheet, minor = _sheet(kind, PaperShop(locale, "UTC", currency))
    render_pdf(f"billing/{kind}.html", {"sheet": sheet}, paper_size="a4", language=sheet.language)
    pages = [page._page_box for page in laid_out[-1].pages]
    runs = [run for page in pages for run in texts(page, (0, page.width))]
    money = Figures(locale_for(locale, "en"), currency, "UTC").money
    for each in minor:
        assert any(money(each) in words for words, *_ in runs), money(each)
    for words, begins, ends, (left, right) in runs:
        if any(letter.isdigit() for letter in words):
            assert left - 0.5 <= begins, words
            assert ends <= right + 0.5, (words, begins, ends, left, right)
