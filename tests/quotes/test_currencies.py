"""Every currency in force, from the book of a new shop to the PDF: ISO 4217 says how many digits it has."""

import json
from datetime import date
from io import BytesIO
from pathlib import Path
from uuid import UUID

import pytest
from pypdf import PdfReader

from shopapi.accounts.models import Shop
from shopapi.core.ids import uuid7
from shopapi.core.money import minor_digits
from shopapi.core.schema import parse
from shopapi.core.tenancy import in_shop
from shopapi.documents.rules import Figures
from shopapi.documents.services import render_pdf
from shopapi.jobs.rules import FindingRank
from shopapi.notices.models import Notice
from shopapi.quotes.models import Approval, Quote
from shopapi.quotes.rules import (
    QuoteLine,
    ShopPrices,
    basis_on,
    check_book,
    check_lines,
    compute_totals,
    offer_document,
)
from shopapi.quotes.rules.starting_prices import starting_prices
from shopapi.quotes.services.approval_requests import send_approval_request
from shopapi.quotes.services.drafts import offer_quote, put_quote_line
from shopapi.quotes.services.quote_pdf import TEMPLATE, page_of
from tests.factories import work
from tests.factories.crews import open_crew
from tests.factories.work import do

# The ISO table itself stands in the fixture, with its source.
DIGITS = json.loads((Path(__file__).parents[2] / "fixtures" / "pricing" / "currencies.json").read_text())["digits"]
CURRENCIES = [(currency, int(digits)) for digits, all_of in DIGITS.items() for currency in all_of]
NINE_THOUSAND = {0: "9,000", 2: "90.00", 3: "9.000", 4: "0.9000"}


@pytest.mark.parametrize(("currency", "digits"), CURRENCIES)
def test_a_new_shop_of_any_currency_can_quote(currency: str, digits: int) -> None:
    assert minor_digits(currency) == digits
    book = parse(ShopPrices, starting_prices(currency))
    assert check_book(book) == []
    basis = basis_on(book, date(2026, 11, 28))
    assert basis is not None
    line = QuoteLine(id=UUID(int=1), position=0, kind="labor", rank=FindingRank.NEEDED, words="Belt", fixed_minor=9000)
    assert check_lines(basis, [line], currency=currency) == []
    assert compute_totals(basis, [line]).total_minor == 9000
    heading = {"shop_name": "S", "customer_name": "C", "machine": "M", "kind": "first", "revision": 1}
    offer = offer_document(
        quote_id=UUID(int=2), **heading, book=basis, lines=[line], discount=None, exempt=False,  # type: ignore[arg-type] # the heading goes through as it is
        valid_until=date(2026, 12, 1),
    )  # fmt: skip
    assert (offer["currency"], offer["minor_digits"]) == (currency, digits)
    written = Figures("en-US", currency, "UTC").money(9000)
    assert written.endswith(NINE_THOUSAND[digits])
    assert len(written) > len(NINE_THOUSAND[digits])


# 1.5 h at the standard rate and two parts at 1,000 + 40 %.
FIGURES = {
    "JPY": ("¥13,500", "¥2,800", "¥16,300"),
    "KRW": ("KRW\u00a013,500", "KRW\u00a02,800", "KRW\u00a016,300"),
    "KWD": ("KWD\u00a013.500", "KWD\u00a02.800", "KWD\u00a016.300"),
    "CLF": ("CLF\u00a01.3500", "CLF\u00a00.2800", "CLF\u00a01.6300"),
}


@pytest.mark.parametrize("currency", FIGURES)
def test_a_shop_of_that_currency_from_its_book_to_the_pdf(db: None, currency: str) -> None:
    crew = open_crew(currency=currency)
    book = work.prices_of(crew.owner)
    work.save_prices(crew.owner, {"terms": "At pickup."})

    quote = work.a_draft(crew.owner, work.a_job(crew.owner), basis=book)
    for line in (work.labor(), work.part()):
        do(crew.owner, put_quote_line, quote_id=quote, **line)
    do(crew.owner, offer_quote, **work.offer_of(crew.owner, quote))
    asked = {"id": uuid7(), "quote_id": quote, "channel": "email", "address": "winnie@stroud.example"}
    do(crew.owner, send_approval_request, **asked)
    work.a_decision(crew.owner, quote)
    with in_shop(crew.shop_id):
        assert Approval.objects.get(quote=quote).accepted_total_minor == 16_300
        page = page_of(Quote.objects.get(id=quote), Shop.objects.get(id=crew.shop_id))
        message = Notice.objects.get(about_id=quote)
    pdf = render_pdf(TEMPLATE, {"quote": page}, paper_size="letter", language=page.language)
    text = "\n".join(each.extract_text() for each in PdfReader(BytesIO(pdf)).pages)
    for amount in FIGURES[currency]:
        assert amount in text
    assert message.values["total"] == FIGURES[currency][2]
