"""What receipts and statements print."""

from datetime import date
from typing import cast

from django.db.models import QuerySet

from shopapi.accounts.models import Shop
from shopapi.billing.models import BillingPrintout, Invoice, Payment
from shopapi.billing.queries.accounts import customer_accounts
from shopapi.billing.queries.invoices import settings_of
from shopapi.billing.queries.payments import TOTAL, account_balance, account_of
from shopapi.billing.queries.seller import seller_of
from shopapi.billing.rules.invoices import InvoiceState, sign_of
from shopapi.billing.rules.paper.receipt_sheet import ReceiptFacts
from shopapi.billing.rules.paper.statement_sheet import OpenInvoice, StatementEntry, StatementFacts
from shopapi.billing.rules.payments import PaymentMethod, tip_in, toward_bill
from shopapi.core.actor import Actor
from shopapi.core.languages import Language
from shopapi.core.schema import to_json
from shopapi.customers.models import Customer
from shopapi.machines.rules import machine_text, short_code


def billing_printouts(actor: Actor) -> QuerySet[BillingPrintout]:
    return BillingPrintout.objects.filter(shop=actor.shop_id)


def receipt_facts(actor: Actor, payment: Payment, shop: Shop) -> ReceiptFacts:
    """The receipt of an entry, with what is open now."""
    settings, customer, job = settings_of(actor), payment.customer, payment.job
    balance = account_balance(actor, account_of(payment))
    language = cast("Language", customer.language)
    machine = None if job is None else job.machine
    gone = payment.reversals.first()
    return ReceiptFacts(
        number=f"R-{short_code(payment.id)}",
        seller=to_json(seller_of(shop, settings)),
        customer=customer.name,
        customer_lines=_reach(customer),
        language=language,
        kind=payment.kind,
        method=payment.method,
        reference=payment.reference,
        at=payment.paid_at,
        member="" if payment.member is None else payment.member.name,
        job="" if job is None else str(job),
        machine=""
        if machine is None
        else machine_text(
            kind=machine.kind, make=machine.make, model=machine.model, serial=machine.serial, language=language
        ),
        invoice="" if payment.invoice is None else str(payment.invoice),
        toward_minor=toward_bill(payment),
        tip_minor=tip_in(payment),
        billed_minor=balance.billed_minor,
        paid_minor=balance.paid_minor,
        open_minor=balance.open_minor,
        unused_minor=balance.unused_minor,
        words=settings.receipt_words,
        reversed_at=None if gone is None else gone.paid_at,
    )


def statement_facts(actor: Actor, customer: Customer, shop: Shop, first_on: date, through: date) -> StatementFacts:
    """The statement of a customer: what was charged and paid in these days, and what is open at their end.

    Money that the shop keeps as credit has not left it: refunds to credit and payments from it are no entries.
    """
    settings = settings_of(actor)
    account = customer_accounts(actor, through, [customer.id]).get(customer.id)
    entries = _entries(actor, customer, through)
    return StatementFacts(
        seller=to_json(seller_of(shop, settings)),
        customer=customer.name,
        customer_lines=_reach(customer),
        language=cast("Language", customer.language),
        first_on=first_on,
        through=through,
        before_minor=sum(one.minor for one in entries if one.on < first_on),
        entries=[one for one in entries if one.on >= first_on],
        open_invoices=[
            OpenInvoice(bill.number, bill.issued_on, bill.due_on, bill.total_minor, bill.open_minor)
            for bill in (account.bills if account else [])
            if bill.open_minor
        ],
        unused_minor=account.unused_minor if account else 0,
        words="",
    )


def _reach(customer: Customer) -> tuple[str, ...]:
    return tuple(filter(None, (customer.person, customer.address, customer.phone, customer.email)))


def _entries(actor: Actor, customer: Customer, through: date) -> list[StatementEntry]:
    """Everything through a day, by day; on one day what was billed comes before what was paid."""
    issued = Invoice.objects.filter(shop=actor.shop_id, customer=customer, issued_on__lte=through)
    billed = issued.exclude(state=InvoiceState.DRAFT).order_by("issued_at", "id")
    entries = [
        StatementEntry(on, kind, number, sign_of(kind) * total)
        for on, kind, number, total in billed.values_list("issued_on", "kind", "number", TOTAL)
    ]
    paid = Payment.objects.filter(shop=actor.shop_id, customer=customer, paid_on__lte=through)
    money = paid.exclude(method=PaymentMethod.CREDIT).order_by("paid_at", "id")
    entries += [
        StatementEntry(one.paid_on, one.kind, one.method, -toward_bill(one), one.reverses_id is not None)
        for one in money
        if toward_bill(one)
    ]
    return sorted(entries, key=lambda one: one.on)
