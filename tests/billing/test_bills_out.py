"""Invoices, receipts and statements as a worker makes them, sent by mail over a real server; reminders of payment."""

import re
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from io import BytesIO
from typing import Any
from uuid import UUID

import pytest
from django.test import Client
from pypdf import PdfReader
from pytest_django import Settings

from shopapi.accounts.queries import system_actor
from shopapi.billing.models import BillingPrintout, BillingSettings, Invoice, Payment
from shopapi.billing.queries.accounts import customer_accounts
from shopapi.billing.queries.ageing import ageing_report
from shopapi.billing.queries.printouts import statement_facts
from shopapi.billing.rules.paper.statement_sheet import ages_of, closing_minor
from shopapi.billing.services.bill_links import invoice_address
from shopapi.billing.services.payments import record_payment, record_refund
from shopapi.billing.services.printouts import print_receipt, print_statement
from shopapi.billing.services.sending import send_billing_printout, send_invoice
from shopapi.billing.tasks import make_pdf, make_printout
from shopapi.core.clock import held_at, now
from shopapi.core.ids import uuid7
from shopapi.core.models import Outbox
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from shopapi.notices.models import Notice
from shopapi.notices.tasks import send_notice
from shopapi.reminders.models import FollowUp
from shopapi.reminders.services import sweep_follow_ups
from tests.factories import work
from tests.factories.bills import an_agreed_job, an_invoice, an_issued_credit_note, an_issued_invoice
from tests.factories.crews import Browser, Crew, open_crew
from tests.factories.work import do, made
from tests.notices.post import Mailbox, mail_server, smtp_settings
from tests.quotes.test_services import refusal

# A Tuesday, ten in the morning in Chicago: no quiet hours.
MORNING = datetime(2026, 5, 5, 15, tzinfo=UTC)
TODAY = date(2026, 5, 5)


@pytest.fixture
def crew(db: None, settings: Settings, tmp_path: Any) -> Iterator[Crew]:
    settings.DATA_DIR = tmp_path
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    settings.SMTP = settings.SMS = settings.VAPID = {}
    with held_at(MORNING):
        yield open_crew()


@pytest.fixture
def mailbox(settings: Settings, crew: Crew) -> Iterator[Mailbox]:
    with mail_server() as box:
        settings.SMTP = smtp_settings(box.port)
        yield box


def work_off(crew: Crew, task: Any, name: str) -> None:
    """Run the task with each of its pending outbox entries."""
    for row in Outbox.objects.filter(task=name, done_at=None):
        task(str(crew.shop_id), str(row.id))


def text_of(content: bytes) -> str:
    return re.sub(r"\s+", " ", "".join(each.extract_text() for each in PdfReader(BytesIO(content)).pages))


def pay(crew: Crew, **more: Any) -> UUID:
    entry = {"id": uuid7(), "kind": "payment", "method": "cash", "paid_at": now(), **more}
    return made(crew.owner, record_payment, **entry)


def test_an_issued_invoice_gets_its_pdf_with_the_deposit_shown(crew: Crew) -> None:
    job = an_agreed_job(crew.owner)
    pay(crew, job_id=job, kind="deposit", amount_minor=5000, method="card")
    invoice = an_issued_invoice(crew.owner, job)
    assert Browser(crew.mechanic).get(f"invoices/{invoice}/pdf").status_code == 409
    work_off(crew, make_pdf, "billing.make_pdf")
    answer = Browser(crew.mechanic).get(f"invoices/{invoice}/pdf")
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    text = text_of(bytes(answer.content))
    assert "Total $163.00" in text
    assert "Deposit paid by card, May 5, 2026 -$50.00" in text
    assert "Please pay $113.00" in text
    with in_shop(crew.shop_id):
        assert Invoice.objects.get(id=invoice).pdf_state == "ready"


def test_a_draft_has_no_pdf_and_is_not_sent(crew: Crew) -> None:
    draft = an_invoice(crew.owner)
    assert refusal(crew.owner, send_invoice, id=draft, channel="email", address="w@x.example").code == (
        "invoice_not_issued"
    )
    assert Browser(crew.owner).get(f"invoices/{draft}/pdf").status_code == 409


def test_an_invoice_goes_out_by_mail_and_its_link_opens_the_pdf(crew: Crew, mailbox: Mailbox) -> None:
    invoice = an_issued_invoice(crew.owner)
    do(crew.owner, send_invoice, id=invoice, channel="email", address="winnie@stroud.example", name="Winnie")
    work_off(crew, send_notice, "notices.send_notice")
    (mail,) = mailbox.taken
    assert re.match(r"Invoice INV-\d+ from ", mail["Subject"])
    body = mail.get_content()
    assert "Open: $163.00, due May 19, 2026" in body
    (path,) = re.findall(r"https?://[^/\s]+(/bill/\S+)", body)
    waiting = Client().get(path)
    assert waiting.status_code == 503
    work_off(crew, make_pdf, "billing.make_pdf")
    answer = Client().get(path)
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    assert "Please pay $163.00" in text_of(bytes(answer.content))
    assert Client().get(path[:-2] + "AA").status_code == 404
    with in_shop(crew.shop_id), held_at(MORNING + timedelta(days=401)):
        assert Client().get(path).status_code == 404
        assert path in invoice_address(crew.owner, invoice)


def test_a_receipt_and_a_statement_are_made_and_sent(crew: Crew, mailbox: Mailbox) -> None:
    job = an_agreed_job(crew.owner)
    an_issued_invoice(crew.owner, job)
    payment = pay(crew, job_id=job, amount_minor=6300, tip_minor=700)
    with in_shop(crew.shop_id):
        customer = Payment.objects.get(id=payment).customer_id
    receipt, statement = uuid7(), uuid7()
    do(crew.mechanic, print_receipt, id=receipt, payment_id=payment)
    days = {"first_on": TODAY - timedelta(days=90), "through": TODAY}
    do(crew.office, print_statement, id=statement, customer_id=customer, **days)
    work_off(crew, make_printout, "billing.make_printout")
    text = text_of(bytes(Browser(crew.mechanic).get(f"billing-printouts/{receipt}/pdf").content))
    assert "We received $70.00 in cash" in text
    assert "Still open $100.00" in text
    text = text_of(bytes(Browser(crew.office).get(f"billing-printouts/{statement}/pdf").content))
    assert "Open: $100.00 on May 5, 2026" in text
    do(crew.office, send_billing_printout, id=statement, channel="email", address="winnie@stroud.example")
    work_off(crew, send_notice, "notices.send_notice")
    (mail,) = mailbox.taken
    assert mail["Subject"].startswith("Your statement from")
    (path,) = re.findall(r"https?://[^/\s]+(/bill/\S+)", mail.get_content())
    assert Client().get(path).status_code == 200
    wrong = {"id": uuid7(), "customer_id": customer, "first_on": TODAY, "through": TODAY - timedelta(days=1)}
    assert refusal(crew.owner, print_statement, **wrong).code == "invalid"


def test_a_statement_and_the_ages_come_to_the_same_with_credit_and_overpayment(crew: Crew) -> None:
    """The sum of the open invoices, less money that pays none, is the balance of the entries."""
    job = an_agreed_job(crew.owner)
    work.a_decision(crew.owner, work.an_offer(crew.owner, job, kind="added"))
    invoice = an_issued_invoice(crew.owner, job)
    an_issued_credit_note(crew.owner, invoice)
    an_issued_invoice(crew.owner, job)
    pay(crew, job_id=job, amount_minor=20000)
    do(
        crew.owner,
        record_refund,
        id=uuid7(),
        job_id=job,
        method="credit",
        amount_minor=2000,
        paid_at=now(),
    )
    with in_shop(crew.shop_id):
        customer = Customer.objects.get(jobs=job)
        shop = customer.shop
        facts = statement_facts(crew.owner, customer, shop, TODAY, TODAY)
        report = ageing_report(crew.owner, TODAY)
        account = customer_accounts(crew.owner, TODAY)[customer.id]
    assert closing_minor(facts) == sum(ages_of(facts).values()) == 16300 - 20000
    assert account.unused_minor == 3700
    (row,) = report.rows
    assert (row.open_minor, row.ages.credit, report.open_minor) == (-3700, -3700, -3700)


def remind(crew: Crew, days: float, hour: int = 0) -> None:
    with held_at(MORNING + timedelta(days=days, hours=hour)), in_shop(crew.shop_id):
        sweep_follow_ups(actor=system_actor(crew.shop_id))


def notices(crew: Crew) -> list[tuple[str, str]]:
    with in_shop(crew.shop_id):
        return list(Notice.objects.order_by("created_at", "id").values_list("template", "state"))


def test_reminders_of_payment_go_out_by_stage_and_stop_when_paid(crew: Crew, mailbox: Mailbox) -> None:
    with in_shop(crew.shop_id):
        BillingSettings.objects.filter(shop=crew.shop_id).update(reminder_days=[3, 14])
    job = an_agreed_job(crew.owner)
    an_issued_invoice(crew.owner, job)
    remind(crew, 14 + 2)
    assert notices(crew) == []
    remind(crew, 14 + 3)
    remind(crew, 14 + 4)
    assert [template for template, _ in notices(crew)] == ["payment_reminder"]
    with held_at(MORNING + timedelta(days=17)):
        work_off(crew, send_notice, "notices.send_notice")
    (mail,) = mailbox.taken
    assert "was due on May 19, 2026, and $163.00 is still open" in mail.get_content().replace("\n", " ")
    with in_shop(crew.shop_id):
        (due,) = FollowUp.objects.filter(kind="payment_late", state="open")
        assert due.facts["open"] == "$163.00"
    # Eleven at night: the second one waits for the morning, and is withheld once paid.
    remind(crew, 14 + 14, hour=13)
    assert notices(crew)[1] == ("payment_overdue", "waiting")
    with held_at(MORNING + timedelta(days=28, hours=14)):
        pay(crew, job_id=job, amount_minor=16300)
    remind(crew, 14 + 14, hour=14)
    assert notices(crew)[1] == ("payment_overdue", "withheld")
    with in_shop(crew.shop_id):
        assert not FollowUp.objects.filter(kind="payment_late", state="open").exists()
    assert BillingPrintout.objects.count() == 0


def test_without_stages_nobody_is_reminded(crew: Crew) -> None:
    an_issued_invoice(crew.owner)
    with in_shop(crew.shop_id):
        BillingSettings.objects.filter(shop=crew.shop_id).update(reminder_days=[])
    remind(crew, 200)
    assert notices(crew) == []
    with in_shop(crew.shop_id):
        assert not FollowUp.objects.filter(kind="payment_late").exists()
