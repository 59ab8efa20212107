"""Shops in currencies of 0, 2 and 3 decimal digits, from a quote to the journal: every paper, list and file.

Digits and the figures expected here come from ISO 4217 (its minor units stand in `fixtures/pricing/currencies.json`),
not from `core.money`.
"""

import csv
import io
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from functools import cached_property
from html import unescape
from io import BytesIO
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from django.test import Client
from pypdf import PdfReader
from pytest_django import Settings

from shopapi.accounts.queries import system_actor
from shopapi.billing.services.issuing import issue_invoice
from shopapi.billing.services.payments import record_payment
from shopapi.billing.services.printouts import print_receipt, print_statement
from shopapi.billing.services.sending import send_invoice
from shopapi.billing.services.settings import edit_billing_settings
from shopapi.billing.tasks import make_pdf, make_printout
from shopapi.core.clock import held_at, now
from shopapi.core.ids import uuid7
from shopapi.core.models import Outbox
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.models import Printout
from shopapi.dispatch.services.hand_overs import hand_over
from shopapi.dispatch.services.printouts import make_printout as make_hand_over_sheet
from shopapi.dispatch.services.printouts import print_hand_over
from shopapi.dispatch.services.tickets import print_ticket
from shopapi.documents.services.storage import read_document
from shopapi.jobs.models import Job
from shopapi.notices.models import Notice
from shopapi.parts.services.order_pdf import make_order_pdf, print_part_order
from shopapi.parts.services.orders import add_part_order, add_part_order_line
from shopapi.quotes.models import Quote
from shopapi.quotes.services.drafts import offer_quote, put_quote_line
from shopapi.quotes.services.intake_terms import record_intake_terms
from tests.billing.published_rules import faults_of_cii, faults_of_ubl
from tests.factories import bills, rigs, work
from tests.factories.crews import Browser, Crew, open_crew
from tests.factories.work import do, made

ISO_4217 = json.loads((Path(__file__).parents[2] / "fixtures" / "pricing" / "currencies.json").read_text())["digits"]
# How an amount begins for an American reader; what has no sign of its own is named by its code (CLDR).
SIGNS = {"JPY": "¥", "USD": "$", "KWD": "KWD "}
DIGITS = {currency: int(digits) for digits, all_of in ISO_4217.items() for currency in all_of if currency in SIGNS}
TUESDAY = datetime(2026, 5, 5, 15, tzinfo=UTC)
TAX = {
    "key": "sales", "label": "Sales tax", "from_on": "2020-01-01", "until_on": None, "inclusive": False,
    "per": "invoice", "rounding": "half_away", "rates": [{"key": "sales", "label": "Sales tax", "percent": "7.25"}],
    "rates_rounded": "together", "labor": "always", "part": True, "supplies": True, "travel": True, "fee": True,
    "lumped": False,
}  # fmt: skip
# In minor units: 1.5 h at 9,000 and two parts at 1,000 + 40 %; 7.25 % of 16,300 is 1,181.75, so 1,182.
NET, TAXED, TOTAL = 16_300, 1_182, 17_482
PAID, TIP, OPEN = 7_005, 500, 10_477


@dataclass(frozen=True)
class Till:
    """A shop in one currency, and how its amounts are written."""

    crew: Crew
    currency: str

    @property
    def digits(self) -> int:
        return DIGITS[self.currency]

    def plain(self, minor: int) -> str:
        """As in files: 17482 is 17482, 174.82 or 17.482."""
        return f"{Decimal(minor).scaleb(-self.digits):.{self.digits}f}"

    def shown(self, minor: int) -> str:
        """As people read it: ¥17,482, $174.82 or KWD 17.482."""
        return f"{SIGNS[self.currency]}{Decimal(minor).scaleb(-self.digits):,.{self.digits}f}"

    @cached_property
    def amount(self) -> re.Pattern[str]:
        """Any amount in a text of this shop, with all of its digits and no other."""
        part = rf"\.\d{{{self.digits}}}" if self.digits else ""
        return re.compile(rf"{re.escape(SIGNS[self.currency])}\d{{1,3}}(?:,\d{{3}})*{part}(?![\d.,]*\d)")

    def check(self, text: str, *minor: int) -> None:
        """A text shows these amounts, and every amount in it has the digits of the currency."""
        for each in minor:
            assert self.shown(each) in text, (self.shown(each), text)
        rest = self.amount.sub("", text)
        assert SIGNS[self.currency].strip() not in rest, rest

    def file(self, path: str, actor: str = "office", **days: Any) -> bytes:
        answer = Browser(getattr(self.crew, actor)).get(path, **days)
        assert answer.status_code == 200, (path, answer.content)
        return bytes(answer.content)

    def rows(self, path: str, **days: Any) -> list[dict[str, str]]:
        return list(csv.DictReader(io.StringIO(self.file(path, **days).decode("utf-8-sig"))))

    def check_cells(self, rows: list[dict[str, str]], *columns: str) -> None:
        """The cells of these columns have the digits of the currency, and one of them at least has an amount."""
        cells = [row[column] for row in rows for column in columns if row[column]]
        assert cells
        for cell in cells:
            assert re.fullmatch(rf"-?\d+\.\d{{{self.digits}}}" if self.digits else r"-?\d+", cell), cell


@pytest.fixture(params=list(SIGNS))
def till(request: pytest.FixtureRequest, db: None, settings: Settings, tmp_path: Path) -> Iterator[Till]:
    settings.DATA_DIR = tmp_path
    settings.SMTP = settings.SMS = settings.VAPID = {}
    with held_at(TUESDAY):
        crew = open_crew(currency=request.param)
        work.save_prices(crew.owner, {"tax_profiles": [TAX]})
        told = {
            "country": "DE",
            "tax_number": "DE123456789",
            "company_number": "HRB 1207",
            "payment_url": "https://pay.example/?n={number}&a={amount}&m={minor}&c={currency}",
        }
        do(crew.owner, edit_billing_settings, id=crew.shop_id, base=dict.fromkeys(told, ""), set=told)
        yield Till(crew, request.param)


def _text(content: bytes) -> str:
    return re.sub(r"\s+", " ", " ".join(each.extract_text() for each in PdfReader(BytesIO(content)).pages))


def _work_off(crew: Crew, task: Any, name: str) -> None:
    for row in Outbox.objects.filter(task=name, done_at=None):
        task(str(crew.shop_id), str(row.id))


def _offer(till: Till, job: UUID) -> UUID:
    """An offered quote on the shop's own prices."""
    owner = till.crew.owner
    quote = work.a_draft(owner, job, basis=work.prices_of(owner))
    for line in (work.labor(), work.part()):
        do(owner, put_quote_line, quote_id=quote, **line)
    do(owner, offer_quote, **work.offer_of(owner, quote))
    return quote


def _agreed_job(till: Till) -> UUID:
    """A job whose quote is signed."""
    job = work.a_job(till.crew.owner)
    quote = _offer(till, job)
    work.a_decision(till.crew.owner, quote)
    with in_shop(till.crew.shop_id):
        totals = Quote.objects.get(id=quote).totals
    assert totals is not None
    assert totals["total_minor"] == TOTAL
    return job


def _invoice(till: Till, job: UUID | None = None, **more: Any) -> UUID:
    owner = till.crew.owner
    invoice = bills.an_invoice(owner, job, basis=work.prices_of(owner), **more)
    do(owner, issue_invoice, **bills.issue_of(owner, invoice))
    return invoice


def _paid(till: Till, job: UUID) -> UUID:
    entry = {"method": "cash", "amount_minor": PAID, "tip_minor": TIP, "paid_at": now()}
    return made(till.crew.owner, record_payment, id=uuid7(), job_id=job, kind="payment", **entry)


def test_invoice_receipt_credit_note_and_statement_on_paper(till: Till) -> None:
    crew, job = till.crew, _agreed_job(till)
    invoice = _invoice(till, job)
    payment = _paid(till, job)
    note = bills.an_issued_credit_note(crew.office, _invoice(till, customer_id=bills.customer_of(crew.owner, job)))
    _work_off(crew, make_pdf, "billing.make_pdf")
    text = _text(till.file(f"invoices/{invoice}/pdf"))
    link = re.compile(rf"n=INV-1001&a={re.escape(till.plain(OPEN))}&m={OPEN}&c={till.currency}")
    assert link.search(text)
    till.check(link.sub("", text), NET, TAXED, TOTAL, PAID, OPEN)
    till.check(_text(till.file(f"invoices/{note}/pdf")), NET, TAXED, TOTAL)

    receipt, statement = uuid7(), uuid7()
    do(crew.mechanic, print_receipt, id=receipt, payment_id=payment)
    days = {"first_on": TUESDAY.date() - timedelta(days=90), "through": TUESDAY.date()}
    do(crew.office, print_statement, id=statement, customer_id=bills.customer_of(crew.owner, job), **days)
    _work_off(crew, make_printout, "billing.make_printout")
    till.check(_text(till.file(f"billing-printouts/{receipt}/pdf")), PAID + TIP, TIP, TOTAL, OPEN)
    till.check(_text(till.file(f"billing-printouts/{statement}/pdf")), TOTAL, PAID, OPEN)


def test_ticket_order_and_hand_over_on_paper(till: Till) -> None:
    crew = till.crew
    stop = rigs.a_stop(crew.owner, kind="return")
    with in_shop(crew.shop_id):
        job = Job.objects.get(stops=stop).id
    told = {"diagnosis_fee_minor": 6_500, "diagnosis_credited": True, "storage_free_days": 30}
    said = {"storage_per_day_minor": 300, "storage_cap_minor": 12_000, "accepted_by_name": "Otis", "accepted_at": now()}
    do(crew.owner, record_intake_terms, id=uuid7(), job_id=job, **told, **said)
    ticket, sheet, order = uuid7(), uuid7(), uuid7()
    do(crew.mechanic, print_ticket, id=ticket, job_id=job)
    ink = {"id": uuid7(), "strokes": work.INK, "width": 300, "height": 150}
    came = made(
        crew.mechanic, hand_over, id=uuid7(), stop_id=stop, at=now(), signer_name="Winnie", amount_due_minor=41_250,
        acknowledged=[], as_left=["ran_here"], signature=ink,
    )  # fmt: skip
    do(crew.mechanic, print_hand_over, id=sheet, hand_over_id=came)
    do(crew.office, add_part_order, id=order, supplier_id=work.a_supplier(crew.owner))
    line = {"number": "BX-41", "description": "Deck belt", "quantity": "1.5", "cost_minor": 1_234}
    do(crew.office, add_part_order_line, id=uuid7(), order_id=order, **line)
    do(crew.office, print_part_order, id=order)
    with in_shop(crew.shop_id):
        system = system_actor(crew.shop_id)
        for printout in (ticket, sheet):
            make_hand_over_sheet(actor=system, printout_id=printout)
        make_order_pdf(actor=system, order_id=order)
        pages = {
            each: _text(read_document(actor=crew.owner, document=Printout.objects.get(id=each).document))
            for each in (ticket, sheet)
        }
    till.check(pages[ticket], 6_500, 300, 12_000)
    till.check(pages[sheet], 41_250)
    till.check(_text(till.file(f"part-orders/{order}/pdf")), 1_234)


def test_the_page_on_which_a_customer_answers(till: Till) -> None:
    owner = till.crew.owner
    link = work.a_request(owner, _offer(till, work.a_job(owner)))
    page = Client().get(work.path_of(owner, link))
    assert page.status_code == 200
    text = re.sub(r"<(script|style).*?</\1>|<[^>]*>", " ", page.content.decode(), flags=re.DOTALL)
    till.check(re.sub(r"\s+", " ", unescape(text)), 13_500, 2_800)


def test_messages_name_amounts_in_the_currency(till: Till) -> None:
    crew, job = till.crew, _agreed_job(till)
    invoice = _invoice(till, job)
    _paid(till, job)
    do(crew.owner, send_invoice, id=invoice, channel="email", address="winnie@stroud.example", name="Winnie")
    with in_shop(crew.shop_id):
        values = Notice.objects.get(about_id=invoice).values
    assert (values["total"].replace("\u00a0", " "), values["open"].replace("\u00a0", " ")) == (
        till.shown(TOTAL),
        till.shown(OPEN),
    )


def test_registers_reports_and_the_journal_as_files(till: Till) -> None:
    crew, job = till.crew, _agreed_job(till)
    _invoice(till, job)
    _paid(till, job)
    bills.an_issued_credit_note(crew.office, _invoice(till))
    register = till.rows("reports/invoice-register.csv")
    assert [(row["number"], row["net"], row["tax amount"], row["total"]) for row in register] == [
        ("CN-1001", till.plain(-NET), till.plain(-TAXED), till.plain(-TOTAL)),
        ("INV-1001", till.plain(NET), till.plain(TAXED), till.plain(TOTAL)),
        ("INV-1002", till.plain(NET), till.plain(TAXED), till.plain(TOTAL)),
    ]
    assert {row["currency"] for row in register} == {till.currency}
    till.check_cells(till.rows("reports/line-register.csv"), "amount")
    (paid,) = till.rows("reports/payment-register.csv")
    assert (paid["amount"], paid["tip"]) == (till.plain(PAID), till.plain(TIP))
    journal = till.rows("reports/journal.csv")
    till.check_cells(journal, "debit", "credit")
    assert sum(Decimal(row["debit"] or 0) - Decimal(row["credit"] or 0) for row in journal) == 0

    text = till.file("reports/journal.txt").decode()
    sides = re.findall(r"^    (debit|credit) .* ([0-9.]+)$", text, re.MULTILINE)
    sums = {side: sum(Decimal(amount) for one, amount in sides if one == side) for side in ("debit", "credit")}
    # Two invoices and the money with its tip, and on the other side of the credit note as much as it takes back.
    assert sums["debit"] == sums["credit"] == Decimal(3 * TOTAL + PAID + TIP).scaleb(-till.digits)
    assert all(amount == till.plain(int(Decimal(amount).scaleb(till.digits))) for _, amount in sides)
    assert re.search(rf"^Difference +{re.escape(till.plain(0))}$", text, re.MULTILINE)

    (ageing, *_) = till.rows("reports/ageing.csv")
    assert till.plain(OPEN) in ageing.values()
    till.check_cells(till.rows("reports/margin.csv"), "billed", "margin")
    assert till.plain(PAID) in {cell for row in till.rows("reports/takings.csv") for cell in row.values()}


def test_an_invoice_file_has_the_digits_or_says_why_there_is_none(till: Till) -> None:
    """BR-DEC-01 and following of EN 16931 allow two decimals, so the dinar cannot be written."""
    crew = till.crew
    invoice = _invoice(till)
    note = bills.an_issued_credit_note(crew.office, invoice)
    for row in (invoice, note):
        if till.digits > 2:
            answer = Browser(crew.mechanic).get(f"invoices/{row}/ubl")
            assert (answer.status_code, answer.json()["code"]) == (409, "einvoice_digits")
            assert "at most two decimals, and KWD has 3" in answer.json()["detail"]
            continue
        ubl, cii = till.file(f"invoices/{row}/ubl"), till.file(f"invoices/{row}/cii")
        assert (faults_of_ubl(ubl), faults_of_cii(cii)) == ([], [])
        for content, tag in ((ubl, "cbc:TaxAmount"), (cii, "ram:CalculatedAmount")):
            found = re.findall(rf"<{tag}[^>]*>([^<]*)<".encode(), content)
            assert set(found) == {till.plain(TAXED).encode()}
        assert f'<cbc:TaxInclusiveAmount currencyID="{till.currency}">{till.plain(TOTAL)}<'.encode() in ubl
        assert f"<ram:GrandTotalAmount>{till.plain(TOTAL)}<".encode() in cii
