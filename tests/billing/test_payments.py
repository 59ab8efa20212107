"""Payments: what is stored, what is open then, two phones that take the same money, refunds, reversals."""

from collections.abc import Iterator
from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID

import pytest
from django.db import DatabaseError, transaction

from shopapi.accounts.rules import Permission
from shopapi.billing.models import Payment, UnpaidInvoice
from shopapi.billing.queries.accounts import customer_accounts
from shopapi.billing.queries.payments import Account, account_balance, credit_of_customer, entries_of
from shopapi.billing.rules.payments import changed_hands, tip_in, toward_bill
from shopapi.billing.services.payments import record_payment, record_refund, reverse_payment
from shopapi.core.actor import Actor
from shopapi.core.errors import Conflict, Forbidden, Invalid, NotFound
from shopapi.core.ids import uuid7
from shopapi.core.models import Issue
from shopapi.core.rendering import show_stored
from shopapi.core.schema import to_json
from shopapi.core.tenancy import in_shop
from shopapi.sync.rules.outcomes import CommandStatus, HeldReason
from tests.factories import bills, work
from tests.factories.crews import Crew, open_crew
from tests.factories.refusals import refuses
from tests.factories.work import do
from tests.sync.direct_push import push

NOON = datetime(2026, 5, 5, 17, tzinfo=UTC)
BILL = 16_300
"""What `bills.an_invoice` comes to, in minor units."""


@pytest.fixture
def crew(db: None) -> Iterator[Crew]:
    """A shop whose index of unpaid invoices is right after every test: by all that was ever billed and paid."""
    made = open_crew()
    yield made
    with in_shop(made.shop_id):
        accounts = customer_accounts(made.owner, date.max).values()
        open_ones = {bill.id for account in accounts for bill in account.bills if bill.open_minor > 0}
        assert set(UnpaidInvoice.objects.values_list("invoice_id", flat=True)) == open_ones


def entry(job: UUID | None = None, **more: Any) -> dict[str, Any]:
    return {"id": uuid7(), "job_id": job, "method": "cash", "amount_minor": 5000, "paid_at": NOON, **more}


def paid(actor: Actor, job: UUID | None = None, **more: Any) -> Any:
    return do(actor, record_payment, **entry(job, **more))


def balance(crew: Crew, job: UUID) -> tuple[int, int, int, int]:
    """Billed, paid, open and unused of the job's own customer."""
    with in_shop(crew.shop_id):
        found = account_balance(crew.owner, Account(job, None, bills.customer_of(crew.owner, job)))
    return found.billed_minor, found.paid_minor, found.open_minor, found.unused_minor


def issues(crew: Crew, state: str = "open") -> list[str]:
    with in_shop(crew.shop_id):
        found = Issue.objects.filter(shop_id=crew.shop_id, entity_kind="payment", state=state).order_by("created_at")
        return [show_stored(one.words) for one in found]


def test_deposit_and_rest_pay_the_bill(crew: Crew) -> None:
    job = bills.an_agreed_job(crew.mechanic)
    deposit = paid(crew.mechanic, job, kind="deposit", amount_minor=6_000, reference="slip 17")
    assert balance(crew, job) == (0, 6_000, 0, 6_000)
    invoice = bills.an_issued_invoice(crew.mechanic, job)
    assert balance(crew, job) == (BILL, 6_000, BILL - 6_000, 0)
    paid(crew.mechanic, job, invoice_id=invoice, amount_minor=BILL - 6_000, tip_minor=2_000)
    assert balance(crew, job) == (BILL, BILL, 0, 0)
    assert (deposit.member_id, deposit.paid_on) == (crew.mechanic.member_id, date(2026, 5, 5))
    assert deposit.customer_id == bills.customer_of(crew.owner, job)
    assert issues(crew) == []


def test_a_tip_pays_no_bill(crew: Crew) -> None:
    job = bills.an_agreed_job(crew.mechanic)
    bills.an_issued_invoice(crew.mechanic, job)
    both = paid(crew.mechanic, job, amount_minor=1_000, tip_minor=300)
    alone = paid(crew.mechanic, job, kind="tip", amount_minor=700)
    assert balance(crew, job)[1:3] == (1_000, BILL - 1_000)
    assert [(toward_bill(one), tip_in(one), changed_hands(one)) for one in (both, alone)] == [
        (1_000, 300, 1_300),
        (0, 700, 700),
    ]


def test_the_day_is_that_of_the_shop(crew: Crew) -> None:
    """04:30 UTC is still the evening before in Chicago."""
    job = work.a_job(crew.mechanic)
    late = paid(crew.mechanic, job, paid_at=datetime(2026, 5, 6, 4, 30, tzinfo=UTC))
    said = paid(crew.mechanic, job, paid_on="2026-05-01")
    assert (late.paid_on, said.paid_on) == (date(2026, 5, 5), date(2026, 5, 1))


def test_two_phones_take_the_rest_and_the_money_is_right(crew: Crew) -> None:
    job = bills.an_agreed_job(crew.owner)
    invoice = bills.an_issued_invoice(crew.owner, job)
    rest = [entry(job, invoice_id=invoice, amount_minor=BILL, method=method) for method in ("cash", "card")]
    (first,) = push(crew.mechanic, ("record_payment", to_json(rest[0])))
    (second,) = push(crew.office, ("record_payment", to_json(rest[1])))
    assert (first.status, second.status, second.code) == (
        CommandStatus.APPLIED,
        CommandStatus.HELD,
        HeldReason.NEEDS_REVIEW,
    )
    assert balance(crew, job) == (BILL, 2 * BILL, 0, BILL)
    with in_shop(crew.shop_id):
        assert Payment.objects.filter(job=job).count() == 2
    (said,) = issues(crew)
    assert "$163.00 too much. Give it back or keep it as credit." in said
    # Half of it back: the question stays open. All of it: it is settled.
    do(crew.office, record_refund, **entry(job, amount_minor=300))
    assert len(issues(crew)) == 1
    do(crew.office, record_refund, **entry(job, amount_minor=BILL - 300, method="credit"))
    assert balance(crew, job) == (BILL, BILL, 0, 0)
    assert (issues(crew), len(issues(crew, "resolved"))) == ([], 1)


def test_credit_pays_another_job_once(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    customer = bills.customer_of(crew.owner, job)
    paid(crew.owner, job, amount_minor=9_000)
    do(crew.office, record_refund, **entry(job, amount_minor=4_000, method="credit"))
    other = work.a_job(crew.owner, customer_id=customer)
    paid(crew.mechanic, other, amount_minor=2_500, tip_minor=500, method="credit")
    with in_shop(crew.shop_id):
        assert credit_of_customer(crew.owner, customer) == 1_500
    with refuses(Conflict, r"credit is \$15.00, less than \$15.01"):
        paid(crew.mechanic, other, amount_minor=1_501, method="credit")
    # Nobody else's credit.
    with refuses(Conflict, r"credit is \$0.00"):
        paid(crew.mechanic, work.a_job(crew.owner), amount_minor=1, method="credit")


def test_a_refund_above_what_was_paid_is_held_until_somebody_says_that_it_happened(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    paid(crew.owner, job, amount_minor=1_000)
    with refuses(Conflict, r"\$10.01 is more than the \$10.00 paid") as found:
        do(crew.office, record_refund, **entry(job, amount_minor=1_001))
    assert [(fault.field, fault.code) for fault in found.value.fields] == [("amount_minor", "refund_above_paid")]
    (held,) = push(crew.office, ("record_refund", to_json(entry(job, amount_minor=1_001))))
    assert (held.status, held.code) == (CommandStatus.HELD, "refund_above_paid")
    assert balance(crew, job)[1] == 1_000
    with in_shop(crew.shop_id):
        issue = Issue.objects.get(shop_id=crew.shop_id, command_id=held.id)
    (settled,) = push(crew.owner, ("settle_issue", {"id": str(issue.id), "choice": "ours"}))
    assert settled.status == CommandStatus.APPLIED
    assert balance(crew, job)[1] == -1


def test_a_mistake_is_reversed_once_by_its_opposite(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    mistake = paid(crew.mechanic, job, amount_minor=5_000, tip_minor=200, method="check", reference="881")
    args = {"id": uuid7(), "reverses_id": mistake.id, "paid_at": NOON, "note": "Typed twice"}
    opposite = do(crew.mechanic, reverse_payment, **args)
    assert [toward_bill(opposite), tip_in(opposite), changed_hands(opposite)] == [-5_000, -200, -5_200]
    assert (opposite.paid_on, opposite.method, opposite.reference) == (mistake.paid_on, "check", "881")
    assert balance(crew, job) == (0, 0, 0, 0)
    with refuses(Conflict, "already reversed"):
        do(crew.mechanic, reverse_payment, **args | {"id": uuid7()})
    with refuses(Conflict, "itself a reversal"):
        do(crew.mechanic, reverse_payment, **args | {"id": uuid7(), "reverses_id": opposite.id})


def test_reversing_the_second_of_two_settles_the_question(crew: Crew) -> None:
    job = bills.an_agreed_job(crew.owner)
    bills.an_issued_invoice(crew.owner, job)
    paid(crew.owner, job, amount_minor=BILL)
    twice = paid(crew.owner, job, amount_minor=BILL)
    assert len(issues(crew)) == 1
    do(crew.owner, reverse_payment, id=uuid7(), reverses_id=twice.id, paid_at=NOON)
    assert (balance(crew, job), issues(crew)) == ((BILL, BILL, 0, 0), [])


def test_who_may_give_money_back(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    paid(crew.mechanic, job, amount_minor=1_000)
    assert not crew.mechanic.may(Permission.KEEP_BOOKS)
    with pytest.raises(Forbidden):
        do(crew.mechanic, record_refund, **entry(job, amount_minor=1))
    refund = do(crew.office, record_refund, **entry(job, amount_minor=1_000))
    with pytest.raises(Forbidden):
        do(crew.mechanic, reverse_payment, id=uuid7(), reverses_id=refund.id, paid_at=NOON)


def test_a_bill_credited_after_it_was_paid_leaves_money_to_give_back(crew: Crew) -> None:
    job = bills.an_agreed_job(crew.owner)
    invoice = bills.an_issued_invoice(crew.owner, job)
    paid(crew.owner, job, invoice_id=invoice, amount_minor=BILL)
    note = bills.an_issued_credit_note(crew.owner, invoice)
    assert balance(crew, job) == (0, BILL, 0, BILL)
    # Money that names the credit note belongs to its invoice.
    refund = do(crew.owner, record_refund, **entry(job, invoice_id=note, amount_minor=BILL))
    assert (refund.invoice_id, balance(crew, job)) == (invoice, (0, 0, 0, 0))


def test_somebody_else_who_pays_for_a_job_is_settled_apart(crew: Crew) -> None:
    job = bills.an_agreed_job(crew.owner)
    paid(crew.owner, job, kind="deposit", amount_minor=6_000)
    payer = work.a_customer(crew.owner, name="Maple Row Insurance")
    invoice = bills.an_issued_invoice(crew.owner, job, customer_id=payer)
    theirs = paid(crew.owner, job, invoice_id=invoice, amount_minor=BILL)
    assert theirs.customer_id == payer
    assert balance(crew, job) == (0, 6_000, 0, 6_000)
    with in_shop(crew.shop_id):
        assert account_balance(crew.owner, Account(job, invoice, payer)).open_minor == 0
    assert issues(crew) == []


def test_an_invoice_without_a_job(crew: Crew) -> None:
    invoice = bills.an_issued_invoice(crew.owner)
    one = paid(crew.owner, invoice_id=invoice, amount_minor=BILL + 100)
    with in_shop(crew.shop_id):
        account = Account(None, invoice, one.customer_id)
        found = account_balance(crew.owner, account)
        assert (found.open_minor, found.unused_minor) == (0, 100)
        assert [each.id for each in entries_of(crew.owner, account)] == [one.id]
    assert len(issues(crew)) == 1


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"job_id": None}, "which job or invoice"),
        ({"kind": "refund"}, "as a refund"),
        ({"kind": "tip", "tip_minor": 5}, "no tip of its own"),
        ({"method": "card", "reference": "4111 1111 1111 1111"}, "looks like a card number"),
        ({"method": "card", "note": "4111-1111-1111-1111"}, "looks like a card number"),
    ],
    ids=str,
)
def test_what_is_refused_says_why(crew: Crew, wrong: dict[str, Any], sentence: str) -> None:
    with refuses(Invalid, sentence):
        paid(crew.owner, work.a_job(crew.owner), **wrong)


@pytest.mark.parametrize("amount", [0, -5, 10**11 + 1, 1.5, "7"], ids=str)
def test_no_amount_of_nothing(crew: Crew, amount: Any) -> None:
    with pytest.raises(Invalid):
        paid(crew.owner, work.a_job(crew.owner), amount_minor=amount)


def test_rows_that_are_not_there(crew: Crew) -> None:
    job, other = work.a_job(crew.owner), work.a_job(crew.owner)
    for wrong in ({"job_id": uuid7()}, {"invoice_id": uuid7()}):
        with pytest.raises(NotFound):
            paid(crew.owner, **entry(job) | wrong)
    with refuses(Conflict, "belongs to another job"):
        paid(crew.owner, other, invoice_id=bills.an_invoice(crew.owner, job))
    taken = entry(job)
    paid(crew.owner, **taken)
    with pytest.raises(Conflict):
        paid(crew.owner, **taken)


def test_entries_never_change(crew: Crew) -> None:
    one = paid(crew.owner, work.a_job(crew.owner))
    with in_shop(crew.shop_id):
        with pytest.raises(DatabaseError), transaction.atomic():
            Payment.objects.filter(id=one.id).update(amount_minor=1)
        with pytest.raises(DatabaseError), transaction.atomic():
            Payment.objects.filter(id=one.id).delete()
