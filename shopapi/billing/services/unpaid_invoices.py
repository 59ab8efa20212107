"""Keeps which invoices have something open: the only writer of that index."""

from collections.abc import Collection
from uuid import UUID

from shopapi.billing.models import Invoice, UnpaidInvoice
from shopapi.billing.queries.payments import Account, account_balance, dues_of
from shopapi.core.actor import Actor


def keep_unpaid_invoices(actor: Actor, account: Account) -> None:
    """Write which invoices of an account have something open now; the caller holds the transaction."""
    dues = dues_of(actor, account)
    paid_on = account_balance(actor, account).paid_on
    left = {due.invoice_id for due, paid in zip(dues, paid_on, strict=True) if due.minor > paid}
    drop_paid_invoices(actor, [due.invoice_id for due in dues if due.invoice_id not in left])
    kept = UnpaidInvoice.objects.filter(shop=actor.shop_id, invoice__in=left).values_list("invoice_id", flat=True)
    for invoice in Invoice.objects.filter(shop=actor.shop_id, id__in=left - set(kept)):
        if invoice.due_on is not None:
            UnpaidInvoice.objects.create(
                shop_id=actor.shop_id, invoice=invoice, customer_id=invoice.customer_id, due_on=invoice.due_on
            )


def drop_paid_invoices(actor: Actor, invoice_ids: Collection[UUID]) -> None:
    """Note that nothing is open of some invoices."""
    UnpaidInvoice.objects.filter(shop=actor.shop_id, invoice__in=invoice_ids).delete()
