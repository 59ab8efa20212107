"""Amounts on PDFs stay whole: each on one line, within its column, whatever the currency, locale and size.

A figure that is broken over two lines is read as another one ("CHF 1,324.0" and a "7" below it).
"""

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader
from weasyprint import HTML
from weasyprint.formatting_structure import boxes

from shopapi.accounts.rules import PaperSize
from shopapi.core.money import minor_digits
from shopapi.documents.rules import Figures
from shopapi.documents.services import pdf as pdf_service
from shopapi.documents.services import render_pdf
from shopapi.quotes.rules import QuoteLine
from shopapi.quotes.rules.price_book import TaxRate
from tests.quotes.pdf_case import SHOP, Case, book, case, line_id

MOST = 999_999_999
"""9,999,999.99: the largest amount that a column has to hold."""
COUNTRIES = [
    ("en-US", "USD"),
    ("en-US", "KWD"),
    ("en-US", "CLF"),
    ("en-CA", "CAD"),
    ("en-ZA", "ZAR"),
    ("de-CH", "CHF"),
    ("fr-CH", "CHF"),
    ("de-AT", "EUR"),
    ("nl-NL", "EUR"),
    ("sv-SE", "SEK"),
    ("pl-PL", "PLN"),
    ("pt-BR", "BRL"),
    ("ja-JP", "JPY"),
    ("es-MX", "MXN"),
]


def wide(locale: str, currency: str, **decided: Any) -> Case:
    """A quote with the largest amounts in every column: prices of one, lines, later, taxes, discounts, totals."""
    fields: list[dict[str, Any]] = [
        {"kind": "part", "rank": "safety", "words": "Engine", "quantity": Decimal(1), "unit_price_minor": MOST},
        {"kind": "part", "rank": "needed", "words": "Deck with all that hangs on it", "quantity": Decimal("123.125"),
         "unit_price_minor": 8_100_000, "core_minor": 1_234_567, "later_minor": MOST, "included": "With its blades."},
        {"kind": "fee", "rank": "advised", "words": "Fee", "fixed_minor": MOST, "discount_minor": 123_456_789},
        {"kind": "discount", "rank": "advised", "words": "Neighbor of the shop", "discount_minor": 123_456_789},
    ]  # fmt: skip
    lines = [QuoteLine(id=line_id(at), position=at, **line) for at, line in enumerate(fields)]
    rates = (TaxRate(key="state", label="State sales tax", percent=Decimal("7.725")),)
    made = book(currency=currency, minor_digits=minor_digits(currency), rates=rates)
    return case(lines, the_book=made, shop=replace(SHOP, locale=locale), **decided)


def drawn(made: Case, paper_size: PaperSize, monkeypatch: pytest.MonkeyPatch) -> tuple[list[Any], str]:
    """The page boxes as they were laid out, and the text as it is read back from the file."""
    laid_out: list[Any] = []

    class Kept(HTML):  # type: ignore[misc] # WeasyPrint has no types
        def render(self, *args: Any, **options: Any) -> Any:
            laid_out.append(super().render(*args, **options))
            return laid_out[-1]

    monkeypatch.setattr(pdf_service, "HTML", Kept)
    pdf = render_pdf("quotes/quote.html", {"quote": made.sheet}, paper_size=paper_size, language="en")
    text = "\n".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages)
    return [page._page_box for page in laid_out[-1].pages], text


def texts(box: Any, around: tuple[float, float]) -> Iterator[tuple[str, float, float, tuple[float, float]]]:
    """Each run of text on one line: the words, from where to where, and the column it belongs into."""
    if isinstance(box, boxes.TextBox):
        yield box.text, box.position_x, box.position_x + box.width, around
    if isinstance(box, boxes.BlockContainerBox):
        around = (box.content_box_x(), box.content_box_x() + box.width)
    for child in getattr(box, "children", ()):
        yield from texts(child, around)


def amounts(made: Case, locale: str, currency: str) -> list[str]:
    """What the PDF must show, each as often as it does: of lines, sums and whatever is said of them."""
    money = Figures(locale, currency, "UTC").money
    shown = [money(line["amount_minor"]) for line in made.offer["lines"] if line["kind"] != "discount"]
    shown += [money(line["unit_minor"]) for line in made.offer["lines"] if line["unit_minor"] is not None]
    shown += [money(row["base_minor"]) for row in made.offer["tax"]]
    totals = made.totals
    shown += [money(row.tax_minor) for row in totals.tax] + [money(row.amount_minor) for row in totals.added]
    later = [line["later_minor"] for line in made.offer["lines"] if "later_minor" in line]
    return [*shown, money(totals.net_minor), money(totals.total_minor), *map(money, later), money(123_456_789)]


@pytest.mark.parametrize(
    ("paper_size", "decided"), [("letter", {}), ("a4", {"declined": set[int]()})], ids=["open", "decided"]
)
@pytest.mark.parametrize("country", COUNTRIES, ids=" ".join)
def test_every_amount_stands_whole_on_one_line_of_its_column(
    monkeypatch: pytest.MonkeyPatch, country: tuple[str, str], paper_size: PaperSize, decided: dict[str, Any]
) -> None:
    locale, currency = country
    made = wide(locale, currency, **decided)
    pages, text = drawn(made, paper_size, monkeypatch)
    runs = [run for page in pages for run in texts(page, (0, page.width))]
    lines = [line.replace("\u202f", "\u00a0").replace(" ", "\u00a0") for line in text.split("\n")]
    for amount in amounts(made, locale, currency):
        assert any(amount in words for words, *_ in runs), amount
        assert any(amount.replace("\u202f", "\u00a0") in line for line in lines), amount
    for words, begins, ends, (left, right) in runs:
        if any(letter.isdigit() for letter in words):
            assert left - 0.5 <= begins, words
            assert ends <= right + 0.5, words


def test_an_amount_alone_is_never_broken_by_the_format_itself() -> None:
    """No amount contains an ordinary space, in any supported locale."""
    for locale, currency in COUNTRIES:
        for minor in (0, -5, 123_456, -MOST):
            assert " " not in Figures(locale, currency, "UTC").money(minor)
