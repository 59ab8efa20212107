"""The papers of billing: what they say, in which order, in both languages, and what a PDF/UA validator finds."""

import re
from dataclasses import replace
from datetime import date
from functools import cache
from io import BytesIO
from typing import Any

import page
import pytest
from pypdf import PdfReader

from shopapi.accounts.rules import PaperSize
from shopapi.billing.rules.paper.facts import DeclinedFacts, PaidFacts, PaperShop, WarrantyFacts
from shopapi.billing.rules.paper.receipt_sheet import lay_out_receipt
from shopapi.billing.rules.paper.statement_sheet import ages_of, closing_minor, lay_out_statement
from shopapi.documents.rules import Figures
from shopapi.documents.services import render_pdf
from tests.billing.paper_case import DEPOSIT, SHOP, PaperCase, paper, receipt, statement
from tests.quotes.pdf_case import book

MONEY = re.compile(r"-?\$[\d,]+\.\d\d")


def printed(sheet: Any, template: str = "invoice", paper_size: PaperSize = "letter") -> bytes:
    return render_pdf(f"billing/{template}.html", {"sheet": sheet}, paper_size=paper_size, language=sheet.language)


def text_of(pdf: bytes) -> str:
    return re.sub(r"\s+", " ", "\n".join(each.extract_text() for each in PdfReader(BytesIO(pdf)).pages))


@cache
def invoice() -> str:
    return text_of(printed(paper().sheet))


def amounts_of(made: PaperCase) -> list[str]:
    """Every amount of the sums, in order, from the totals alone."""
    money = Figures("en-US", "USD", "UTC").money
    totals = made.totals
    charged = sum(line.amount_minor for line in totals.lines)
    shown = [charged, *(added.amount_minor for added in totals.added), totals.net_minor]
    for row in totals.tax:
        shown += [row.base_minor, row.tax_minor]
    return [money(minor) for minor in (*shown, totals.total_minor, -10500, totals.total_minor - 10500)]


def test_the_sums_of_an_invoice_are_those_of_its_totals_in_their_order() -> None:
    text = invoice()
    sums = MONEY.findall(text[text.index("Work and parts") : text.index("Not repaired")])
    assert sums == amounts_of(paper())
    assert "Please pay $696.09 by Dec 12, 2026" in text
    assert "Deposit paid by card, Nov 25, 2026" in text


def test_a_work_is_the_sum_of_its_lines() -> None:
    for work in paper().sheet.works:
        amounts = [int(line.amount.replace("$", "").replace(".", "")) for line in work.lines]
        if len(amounts) > 1:
            assert work.amount == Figures("en-US", "USD", "UTC").money(sum(amounts))
        else:
            assert work.amount == ""
    assert [work.title for work in paper().sheet.works][-1] == "Other charges"


def test_safety_items_and_declined_safety_work_are_printed_with_who_was_told() -> None:
    declined = [DeclinedFacts("Replace the seat switch", is_safety=True), DeclinedFacts("Tie rods", is_safety=False)]
    sheet = paper(declined=declined).sheet
    assert [box.title for box in sheet.safety] == [
        "Not repaired: The seat switch is wired over [Seat switch (bypassed)]",
        "Declined safety work: Replace the seat switch",
    ]
    assert sheet.declined == ("Tie rods",)
    text = invoice()
    assert "The engine keeps running when you leave the seat." in text
    assert "Told: Marla Quist, in person, Nov 25, 2026, 2:20 PM MST" in text
    assert "Please don’t use the machine until it’s fixed" in text
    assert not re.search(r"\b(safe|legal)\b", text)


def test_warranty_names_its_last_day_and_hours() -> None:
    """Nov 28 and 90 days later: Feb 26 (2 + 31 + 31 + 26)."""
    assert paper().sheet.warranty == (
        (
            "Rebuild the left deck spindle: 90 days, through Feb 26, 2027, or 50 hours on the meter, "
            "whichever comes first."
        ),
        "Brake band: 90 days, through Feb 26, 2027.",
    )
    alike = [WarrantyFacts("One", 30, None), WarrantyFacts("Other", 30, None)]
    assert paper(warranty=alike).sheet.warranty[0].startswith("The work and parts on this invoice: 30 days")
    assert paper(warranty=[WarrantyFacts("One", None, None)]).sheet.warranty == ()


def test_paid_entries_that_pay_several_invoices_are_one_row() -> None:
    rows = {
        row.label for row in paper(paid=[DEPOSIT, PaidFacts("payment", "cash", date(2026, 11, 27), 900)]).sheet.sums
    }
    assert "Deposits and payments used" in rows
    sheet = paper(paid_minor=80109, paid=[replace(DEPOSIT, toward_minor=80109)]).sheet
    assert (sheet.pay, sheet.slip) == ("Paid. Thank you.", None)


def test_prices_that_hold_tax_total_first() -> None:
    labels = [row.label for row in paper(the_book=book(inclusive=True)).sheet.sums]
    assert labels.index("Total") < labels.index("Before tax")


@pytest.mark.parametrize(("currency", "digits", "shown"), [("JPY", 0, r"¥[\d,]+$"), ("KWD", 3, r"KWD.[\d,]+\.\d{3}$")])
def test_other_currencies_keep_their_digits(currency: str, digits: int, shown: str) -> None:
    """ISO 4217: the yen has no minor unit, the Kuwaiti dinar has three digits."""
    made = paper(the_book=book(currency=currency, minor_digits=digits), shop=PaperShop("en-US", "UTC", currency))
    assert all(re.search(shown, row.amount) for row in made.sheet.sums)


def test_a_credit_note_says_what_it_corrects_and_asks_for_nothing() -> None:
    made = paper(kind="credit_note", note="Billed twice", declined=[], left=[], warranty=[])
    assert made.sheet.pay == f"We credit you {made.sheet.sums[-1].amount}"
    assert made.sheet.pay_by == "for invoice INV-1001"
    assert made.sheet.slip is None
    assert {fact.label for fact in made.sheet.facts} == {"Date", "Corrects invoice", "Job"}


def test_a_receipt_shows_what_is_in_hand_or_open() -> None:
    sheet = lay_out_receipt(receipt(), shop=SHOP)
    assert (sheet.pay, [row.label for row in sheet.sums]) == ("We received $110.00", ["In hand for you"])
    billed = receipt(kind="payment", billed_minor=80109, paid_minor=40000, open_minor=40109, unused_minor=0)
    assert lay_out_receipt(billed, shop=SHOP).sums[-1].amount == "$401.09"
    back = lay_out_receipt(receipt(kind="refund", toward_minor=-10500, tip_minor=0), shop=SHOP)
    assert (back.name, back.pay) == ("Refund receipt", "We gave you back $105.00")


def test_a_statement_runs_from_balance_to_balance_and_its_ages_add_up() -> None:
    facts = statement()
    sheet = lay_out_statement(facts, shop=SHOP)
    assert sheet.rows[-1].balance == "$2,260.58"
    assert closing_minor(facts) == sum(ages_of(facts).values()) == 226058
    assert [age.value for age in sheet.ages] == ["$342.18", "$1,200.00", "$0.00", "$718.40", "$0.00", "$2,260.58"]
    assert [row.late for row in sheet.open_rows] == ["63 days late", "26 days late", "not due yet"]


def test_markup_that_people_type_is_text() -> None:
    text = text_of(printed(paper(note="<b>bold</b> {{ sheet }} & more").sheet))
    assert "<b>bold</b> {{ sheet }} & more" in text


@pytest.mark.parametrize("paper_size", ["letter", "a4"])
@pytest.mark.parametrize("kind", ["invoice", "receipt", "statement"])
def test_a_validator_finds_nothing_against_pdf_ua(kind: str, paper_size: PaperSize) -> None:
    """PDF/UA-1 (ISO 14289-1). Letters in Spanish, so that both languages are printed."""
    sheet: Any = paper(language="es" if paper_size == "a4" else "en").sheet
    if kind == "receipt":
        sheet = lay_out_receipt(receipt(language="es" if paper_size == "a4" else "en"), shop=SHOP)
    elif kind == "statement":
        sheet = lay_out_statement(statement(language="es" if paper_size == "a4" else "en"), shop=SHOP)
    pdf = printed(sheet, kind, paper_size)
    report = page.validate_pdf_bytes(pdf, profile=page.ValidationProfile.PDF_UA_1)
    assert report.is_compliant, report
    assert len(PdfReader(BytesIO(pdf)).pages) == 1
