"""Payments: their only writer.

Money that was taken is a fact. Where it is too much it counts all the same: the job shows by how much, and an issue
asks a person to give it back or to keep it as credit; recording that refund settles the issue. A refund above what was
paid, and a payment from credit that is not there, are held until a person says that they did happen.
"""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission
from shopapi.billing.models import Invoice, Payment
from shopapi.billing.queries.payments import (
    Account,
    account_balance,
    account_of,
    credit_of_customer,
    entries_of,
    payments,
)
from shopapi.billing.rules.balances import too_much
from shopapi.billing.rules.payments import (
    PaymentKind,
    PaymentMethod,
    PaymentRecord,
    PaymentReversal,
    RefundRecord,
    payment_faults,
)
from shopapi.billing.services.closing import is_open, require_open
from shopapi.billing.services.unpaid_invoices import keep_unpaid_invoices
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, FieldError, Invalid, Reason, refuse_faults
from shopapi.core.feed import open_issue
from shopapi.core.models import Issue
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.documents.rules.number_format import Figures
from shopapi.jobs.models import Job
from shopapi.quotes.queries.agreed import agreed


@command(needs=Permission.BILL, fact=True, creates_row=True)
def record_payment(*, actor: Actor, data: PaymentRecord) -> Payment:
    """Record money taken. What is more than is open is recorded too, and opens an issue."""
    account = _account(actor, data)
    if data.method == PaymentMethod.CREDIT:
        given = data.amount_minor + data.tip_minor
        _require_covered(actor, "credit_too_small", given, credit_of_customer(actor, account.customer_id))
    payment = _enter(actor, account, data, kind=data.kind, tip_minor=data.tip_minor)
    _ask_about_too_much(actor, payment)
    return payment


@command(needs=Permission.KEEP_BOOKS, fact=True, creates_row=True, rest_name="refund")
def record_refund(*, actor: Actor, data: RefundRecord) -> Payment:
    """Record money given back to the customer, or kept for them as credit."""
    account = _account(actor, data)
    _require_covered(actor, "refund_above_paid", data.amount_minor, account_balance(actor, account).paid_minor)
    payment = _enter(actor, account, data, kind=PaymentKind.REFUND)
    _settle_when_even(actor, payment)
    return payment


@command(needs=Permission.BILL, creates_row=True, rest_name="reversal")
def reverse_payment(*, actor: Actor, data: PaymentReversal) -> Payment:
    """Reverse an entry that was a mistake, with its opposite of the same day; of today where that day is closed.

    A refund only by those who may make one. Raises Conflict `already_reversed` and `is_reversal`: neither can be
    reversed again; what did happen is recorded by itself.
    """
    refuse_known_id(Payment, data.id)
    mistaken = row_for(Payment, actor, data.reverses_id, field="reverses_id")
    if mistaken.kind == PaymentKind.REFUND:
        actor.require(Permission.KEEP_BOOKS)
    if mistaken.reverses_id is not None:
        raise Conflict("is_reversal", fields=[FieldError("reverses_id", "is_reversal")])
    if payments(actor).filter(reverses=mistaken).exists():
        raise Conflict("already_reversed", fields=[FieldError("reverses_id", "already_reversed")])
    payment = Payment.objects.create(
        shop_id=actor.shop_id,
        member_id=actor.member_id,
        id=data.id,
        reverses=mistaken,
        job_id=mistaken.job_id,
        invoice_id=mistaken.invoice_id,
        customer_id=mistaken.customer_id,
        kind=mistaken.kind,
        method=mistaken.method,
        amount_minor=mistaken.amount_minor,
        tip_minor=mistaken.tip_minor,
        reference=mistaken.reference,
        note=data.note,
        paid_at=actor.instant_of(data.paid_at),
        paid_on=_day_of_reversal(actor, mistaken, actor.instant_of(data.paid_at)),
    )
    keep_unpaid_invoices(actor, account_of(payment))
    record(actor, "payment reversed", ("payment", mistaken.id), reversal=payment.id)
    _settle_when_even(actor, payment)
    return payment


def _account(actor: Actor, data: PaymentRecord | RefundRecord) -> Account:
    """Where an entry belongs. Money that names a credit note belongs to the invoice that it corrects."""
    refuse_known_id(Payment, data.id)
    refuse_faults(payment_faults(data))
    if data.job_id is not None:
        job = row_for(Job, actor, data.job_id, field="job_id", lock=False)
        if data.invoice_id is None:
            return Account(job.id, None, job.customer_id)
    if data.invoice_id is None:
        raise Invalid("invalid", fields=[FieldError("job_id", "payment_of_nothing")])
    invoice = row_for(Invoice, actor, data.invoice_id, field="invoice_id", lock=False)
    if data.job_id not in (None, invoice.job_id):
        raise Conflict("invoice_of_another_job", fields=[FieldError("invoice_id", "invoice_of_another_job")])
    return Account(invoice.job_id, invoice.credited_id or invoice.id, invoice.customer_id)


def _enter(
    actor: Actor, account: Account, data: PaymentRecord | RefundRecord, *, kind: PaymentKind, tip_minor: int = 0
) -> Payment:
    paid_at = actor.instant_of(data.paid_at)
    paid_on = data.paid_on or _day_of(actor, paid_at)
    require_open(actor, paid_on, field="paid_on")
    payment = Payment.objects.create(
        shop_id=actor.shop_id,
        member_id=actor.member_id,
        **data.model_dump()
        | {
            "job_id": account.job_id,
            "invoice_id": account.invoice_id,
            "customer_id": account.customer_id,
            "kind": kind,
            "tip_minor": tip_minor,
            "paid_at": paid_at,
            "paid_on": paid_on,
        },
    )
    details = {"kind": kind, "method": data.method, "amount": data.amount_minor, "tip": tip_minor}
    keep_unpaid_invoices(actor, account_of(payment))
    record(actor, "payment recorded", ("payment", payment.id), **details)
    return payment


def _day_of_reversal(actor: Actor, mistaken: Payment, reversed_at: datetime) -> date:
    if is_open(actor, mistaken.paid_on):
        return mistaken.paid_on
    day = _day_of(actor, reversed_at)
    require_open(actor, day, field="paid_at")
    return day


def _day_of(actor: Actor, instant: datetime) -> date:
    return instant.astimezone(ZoneInfo(shop_of(actor).zone)).date()


def _require_covered(actor: Actor, code: str, wanted: int, there: int) -> None:
    """Raise Conflict where more is wanted than is there, unless a person has settled that it did happen."""
    if wanted > there and actor.settled_by is None:
        context = {"wanted": _money(actor, wanted), "there": _money(actor, max(0, there))}
        raise Conflict(code, fields=[FieldError("amount_minor", code, context=context)], context=context)


def _ask_about_too_much(actor: Actor, payment: Payment) -> None:
    if payment.kind == PaymentKind.TIP:
        return
    minor = _too_much(actor, payment, is_deposit=payment.kind == PaymentKind.DEPOSIT)
    if minor == 0:
        return
    open_issue(
        shop_id=actor.shop_id,
        kind=Issue.Kind.HELD,
        command_id=actor.command_id,
        name="record_payment",
        entity=("payment", payment.id),
        reason=Reason("paid_too_much", {"amount": _money(actor, minor), "what": str(payment.job or payment.invoice)}),
        theirs={},
        ours={"amount_minor": minor},
        member_id=actor.member_id,
    )


def _settle_when_even(actor: Actor, payment: Payment) -> None:
    """Resolve the issues about money taken twice once an account is not paid too much any more."""
    if _too_much(actor, payment, is_deposit=False) == 0:
        entries = entries_of(actor, account_of(payment)).values("id")
        open_issues = Issue.objects.filter(shop_id=actor.shop_id, entity_kind="payment", state=Issue.State.OPEN)
        open_issues.filter(entity_id__in=entries).update(state=Issue.State.RESOLVED)


def _too_much(actor: Actor, payment: Payment, *, is_deposit: bool) -> int:
    """By how much the account of an entry is paid too much. Only the customer of the job has agreed to something."""
    job = payment.job
    own = job is not None and job.customer_id == payment.customer_id
    agreed_minor = agreed(actor, job.id, at=now()).total_minor if job is not None and own else 0
    balance = account_balance(actor, account_of(payment))
    return too_much(balance, agreed_minor=agreed_minor, is_deposit=is_deposit)


def _money(actor: Actor, minor: int) -> str:
    shop = shop_of(actor)
    return Figures(shop.locale, shop.currency, shop.zone).money(minor)
