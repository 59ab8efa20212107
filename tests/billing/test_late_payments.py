"""Who is late is found by the index of unpaid invoices, however much was billed and paid before."""

from collections.abc import Collection, Mapping
from datetime import date, timedelta
from uuid import UUID

import pytest

from shopapi.billing.models import BillingSettings, Invoice, UnpaidInvoice
from shopapi.billing.queries import late_payments as module
from shopapi.billing.queries.accounts import CustomerAccount, customer_accounts
from shopapi.billing.queries.late_payments import late_payments
from shopapi.billing.services.payments import record_payment
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from tests.factories import bills
from tests.factories.crews import Crew, open_crew
from tests.factories.work import do

BILL = 16_300
"""What `bills.an_invoice` comes to, in minor units."""


@pytest.fixture
def crew(db: None) -> Crew:
    crew = open_crew()
    with in_shop(crew.shop_id):
        BillingSettings.objects.filter(shop=crew.shop_id).update(reminder_days=[3, 14])
    return crew


def an_open_bill(crew: Crew) -> UUID:
    return bills.an_issued_invoice(crew.office)


def pay(crew: Crew, invoice_id: UUID, minor: int) -> None:
    fields = {"id": uuid7(), "job_id": None, "invoice_id": invoice_id, "method": "cash", "paid_at": now()}
    do(crew.office, record_payment, amount_minor=minor, **fields)


def late(crew: Crew, day: date) -> list[tuple[UUID, int, int]]:
    with in_shop(crew.shop_id):
        found = late_payments(crew.owner, day)
        assert found is not None
        return [(one.bill.id, one.bill.open_minor, one.stage) for one in found]


def due_day(crew: Crew, invoice_id: UUID) -> date:
    with in_shop(crew.shop_id):
        due_on: date | None = Invoice.objects.get(id=invoice_id).due_on
    assert due_on is not None
    return due_on


def test_an_invoice_is_late_from_the_day_of_its_stage_until_it_is_paid(crew: Crew) -> None:
    invoice_id = an_open_bill(crew)
    due_on = due_day(crew, invoice_id)
    assert late(crew, due_on + timedelta(days=2)) == []
    assert late(crew, due_on + timedelta(days=3)) == [(invoice_id, BILL, 1)]
    pay(crew, invoice_id, 300)
    assert late(crew, due_on + timedelta(days=14)) == [(invoice_id, BILL - 300, 2)]
    pay(crew, invoice_id, BILL - 300)
    assert late(crew, due_on + timedelta(days=14)) == []


def test_a_credited_invoice_is_not_late(crew: Crew) -> None:
    invoice_id = an_open_bill(crew)
    bills.an_issued_credit_note(crew.office, invoice_id)
    assert late(crew, due_day(crew, invoice_id) + timedelta(days=30)) == []
    with in_shop(crew.shop_id):
        assert not UnpaidInvoice.objects.exists()


def test_rows_of_others_that_are_paid_are_not_read(crew: Crew, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of three customers who paid and one who owes, the account of one is read."""
    owing = an_open_bill(crew)
    for _ in range(3):
        pay(crew, an_open_bill(crew), BILL)
    read: list[Collection[UUID]] = []

    def counted(actor: Actor, through: date, customer_ids: Collection[UUID]) -> Mapping[UUID, CustomerAccount]:
        read.append(customer_ids)
        return customer_accounts(actor, through, customer_ids)

    monkeypatch.setattr(module, "customer_accounts", counted)
    day = due_day(crew, owing) + timedelta(days=3)
    assert late(crew, day) == [(owing, BILL, 1)]
    with in_shop(crew.shop_id):
        assert read == [{Invoice.objects.get(id=owing).customer_id}]
    pay(crew, owing, BILL)
    read.clear()
    assert (late(crew, day), read) == ([], [])
