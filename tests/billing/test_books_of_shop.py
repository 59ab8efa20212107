"""What the bookkeeper takes out of a shop: the same figures in every list, files that hold, closed days."""

import csv
import io
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID

import pytest

from shopapi.billing.queries.einvoice import einvoice
from shopapi.billing.rules.einvoice.document import EInvoice
from shopapi.billing.rules.einvoice.totals import totals_of
from shopapi.billing.services.closing import close_period
from shopapi.billing.services.issuing import issue_invoice
from shopapi.billing.services.payments import record_payment
from shopapi.billing.services.settings import edit_billing_settings
from shopapi.core.clock import now
from shopapi.core.errors import Conflict
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.customers.services import edit_customer
from tests.billing.published_rules import faults_of_cii, faults_of_ubl
from tests.factories import bills, work
from tests.factories.crews import Browser, Crew, open_crew
from tests.factories.work import do


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


@pytest.fixture
def invoice(crew: Crew) -> UUID:
    return bills.an_issued_invoice(crew.mechanic)


def _read(crew: Crew, path: str, **days: Any) -> Any:
    answer = Browser(crew.office).get(path, **days)
    assert answer.status_code == 200, answer.content
    return answer


def _csv(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode("utf-8-sig"))))


def test_registers_and_journal_agree(crew: Crew, invoice: UUID) -> None:
    note = bills.an_issued_credit_note(crew.office, bills.an_issued_invoice(crew.mechanic))
    register = _read(crew, "reports/invoice-register").json()
    kinds = [(row["number"], row["kind"]) for row in register["rows"]]
    assert kinds == [("INV-1001", "invoice"), ("INV-1002", "invoice"), ("CN-1001", "credit_note")]
    assert (
        register["total_minor"] == register["rows"][0]["total_minor"] == register["net_minor"] + register["tax_minor"]
    )
    lines = _read(crew, "reports/line-register").json()
    assert lines["amount_minor"] == register["net_minor"]
    journal = _read(crew, "reports/journal").json()
    assert journal["debit_minor"] == journal["credit_minor"] > 0
    assert all(sum(one["amount_minor"] for one in entry["postings"]) == 0 for entry in journal["entries"])
    text = _read(crew, "reports/journal.txt").content.decode()
    assert "Difference            0.00" in text
    rows = _csv(_read(crew, "reports/journal.csv").content)
    assert {row["document"] for row in rows} == {"INV-1001", "INV-1002", "CN-1001"}
    totals = {row["number"]: row["total"] for row in _csv(_read(crew, "reports/invoice-register.csv").content)}
    assert totals["CN-1001"] == f"-{totals['INV-1002']}"
    assert note


def test_a_payment_is_in_its_register_and_in_the_journal(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    entry = {"id": uuid7(), "job_id": job, "method": "card", "amount_minor": 5_000, "tip_minor": 250, "paid_at": now()}
    do(crew.mechanic, record_payment, **entry)
    (row,) = _csv(_read(crew, "reports/payment-register.csv").content)
    assert (row["method"], row["amount"], row["tip"]) == ("card", "50.00", "2.50")
    (posted,) = _read(crew, "reports/journal").json()["entries"]
    assert {one["account"]: one["amount_minor"] for one in posted["postings"]} == {
        "cards": 5_250,
        "tips": -250,
        "receivable": -5_000,
    }


@pytest.mark.parametrize("days", [{"first": "2026-02-02", "last": "2026-02-01"}, {"first": "2000-01-01"}])
def test_days_that_cannot_be_are_refused_by_field(crew: Crew, days: dict[str, str]) -> None:
    answer = Browser(crew.office).get("reports/journal", **days)
    assert (answer.status_code, answer.json()["fields"][0]["field"]) == (400, "last")


def test_an_invoice_file_names_what_the_shop_has_not_said_then_keeps_the_published_rules(
    crew: Crew, invoice: UUID
) -> None:
    browser = Browser(crew.mechanic)
    bare = browser.get(f"invoices/{invoice}/ubl")
    assert (bare.status_code, bare.json()["code"]) == (409, "einvoice_incomplete")
    assert {fault["field"] for fault in bare.json()["fields"]} >= {"country", "company_number"}
    said = {"country": "DE", "tax_number": "DE123456789", "company_number": "HRB 1207"}
    edit = {"id": crew.shop_id, "base": dict.fromkeys(said, ""), "set": said}
    do(crew.owner, edit_billing_settings, **edit)
    ubl, cii = (browser.get(f"invoices/{invoice}/{syntax}") for syntax in ("ubl", "cii"))
    assert faults_of_ubl(ubl.content) == []
    assert faults_of_cii(cii.content) == []
    assert "INV-1001-ubl.xml" in ubl["Content-Disposition"]
    draft = browser.get(f"invoices/{bills.an_invoice(crew.mechanic)}/ubl")
    assert (draft.status_code, draft.json()["code"]) == (409, "einvoice_of_draft")


def test_nothing_is_issued_into_a_closed_day(crew: Crew) -> None:
    yesterday = work.today() - timedelta(days=1)
    do(crew.office, close_period, id=uuid7(), closed_through=yesterday)
    draft = bills.an_invoice(crew.mechanic)
    with pytest.raises(Conflict) as refused:
        do(crew.mechanic, issue_invoice, **bills.issue_of(crew.mechanic, draft, issued_on=yesterday))
    assert (refused.value.code, refused.value.fields[0].field) == ("period_closed", "issued_on")
    do(crew.mechanic, issue_invoice, **bills.issue_of(crew.mechanic, draft))


def _file_of(crew: Crew, invoice: UUID) -> EInvoice:
    said = {"country": "DE", "tax_number": "DE123456789", "company_number": "HRB 1207"}
    do(crew.owner, edit_billing_settings, id=crew.shop_id, base=dict.fromkeys(said, ""), set=said)
    browser = Browser(crew.mechanic)
    ubl, cii = (browser.get(f"invoices/{invoice}/{syntax}").content for syntax in ("ubl", "cii"))
    assert (faults_of_ubl(ubl), faults_of_cii(cii)) == ([], [])
    assert ubl.count(b"PrepaidAmount") == 2 * cii.count(b"<ram:TotalPrepaidAmount>")
    with in_shop(crew.shop_id):
        return einvoice(crew.office, invoice)


def test_the_file_counts_what_was_paid_before_and_names_the_country_of_the_buyer(crew: Crew) -> None:
    """BT-113 is the deposit, BT-115 what is left (BR-CO-16); what is paid later is not in it. BT-55 is the buyer's."""
    job = bills.an_agreed_job(crew.mechanic)
    take = {"job_id": job, "method": "card", "paid_at": now()}
    do(crew.mechanic, record_payment, id=uuid7(), amount_minor=6_300, kind="deposit", **take)
    customer = bills.customer_of(crew.owner, job)
    do(crew.owner, edit_customer, id=customer, base={"country": ""}, set={"country": "AT"})
    invoice = bills.an_issued_invoice(crew.mechanic, job)
    do(crew.mechanic, record_payment, id=uuid7(), amount_minor=5_000, **{**take, "invoice_id": invoice})
    document = _file_of(crew, invoice)
    found = totals_of(document)
    assert (found.gross, found.paid, found.due) == (Decimal("163.00"), Decimal("63.00"), Decimal("100.00"))
    assert (document.seller.country, document.buyer.country) == ("DE", "AT")
    note = bills.an_issued_credit_note(crew.office, invoice)
    with in_shop(crew.shop_id):
        assert einvoice(crew.office, note).paid == 0


def test_a_payment_from_before_that_arrives_after_the_issue_is_not_in_the_file(crew: Crew) -> None:
    job = bills.an_agreed_job(crew.mechanic)
    invoice = bills.an_issued_invoice(crew.mechanic, job)
    paid_at = now() - timedelta(hours=3)
    late = {"id": uuid7(), "job_id": job, "method": "cash", "amount_minor": 4_000, "paid_at": paid_at}
    do(crew.mechanic, record_payment, **late)
    document = _file_of(crew, invoice)
    assert (document.paid, document.buyer.country) == (Decimal(), "DE")


def test_an_invoice_that_was_paid_whole_before_says_that_nothing_is_due(crew: Crew) -> None:
    job = bills.an_agreed_job(crew.mechanic)
    do(crew.mechanic, record_payment, id=uuid7(), job_id=job, method="cash", amount_minor=20_000, paid_at=now())
    document = _file_of(crew, bills.an_issued_invoice(crew.mechanic, job))
    assert (document.paid, totals_of(document).due) == (Decimal("163.00"), Decimal())
