"""Invoices that are late, by the stage of the reminder that is due."""

from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from shopapi.billing.models import UnpaidInvoice
from shopapi.billing.queries.accounts import OpenBill, customer_accounts
from shopapi.billing.queries.invoices import settings_of
from shopapi.billing.rules.payment_reminders import stage_reached
from shopapi.core.actor import Actor


@dataclass(frozen=True)
class LatePayment:
    """An invoice of which something is open. `stage` (from 1) began on `due_on`."""

    customer_id: UUID
    bill: OpenBill
    stage: int
    due_on: date


def late_payments(actor: Actor, today: date) -> list[LatePayment] | None:
    """The late invoices of a shop; None: it has no stages, so nobody is reminded.

    Who may be late is found by the index of unpaid invoices; only their accounts are read.
    """
    stages = settings_of(actor).reminder_days
    if not stages:
        return None
    late = UnpaidInvoice.objects.filter(shop=actor.shop_id, due_on__lte=today - timedelta(days=stages[0]))
    customer_ids = set(late.values_list("customer_id", flat=True))
    if not customer_ids:
        return []
    return [
        LatePayment(customer, bill, stage, bill.due_on + timedelta(days=stages[stage - 1]))
        for customer, account in customer_accounts(actor, today, customer_ids).items()
        for bill in account.bills
        if bill.open_minor > 0 and bill.due_on is not None
        if (stage := stage_reached(bill.due_on, today, stages)) is not None
    ]
