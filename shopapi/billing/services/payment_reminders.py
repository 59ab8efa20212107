"""Reminders of payment: written to customers whose invoice is late, stage by stage, outside of quiet hours."""

from collections.abc import Iterable
from uuid import UUID

from shopapi.accounts.queries import shop_of
from shopapi.billing.models import Invoice
from shopapi.billing.rules.invoices import InvoiceShown
from shopapi.billing.services.sending import invoice_values
from shopapi.core.actor import Actor
from shopapi.core.errors import Invalid
from shopapi.core.schema import parse
from shopapi.notices.queries import reachable_at
from shopapi.notices.services.notices import post_notice, withhold_unsent

FIRST, LATER = "payment_reminder", "payment_overdue"


def remind_of_payment(*, actor: Actor, invoice_id: UUID, stage: int) -> None:
    """Write to the customer of a late invoice, once per stage; without an address only the follow-up remains.

    The caller holds the transaction and the shop's write lock.
    """
    invoice = Invoice.objects.filter(shop=actor.shop_id).select_related("customer").get(id=invoice_id)
    customer, language = invoice.customer, parse(InvoiceShown, invoice.shown).language
    found = reachable_at(actor, phone=customer.phone, email=customer.email, wish=customer.contact_by)
    if found is None:
        return
    channel, address = found
    name = customer.person or customer.name
    template = FIRST if stage == 1 else LATER
    values = invoice_values(actor, invoice, language)
    try:
        post_notice(
            actor=actor,
            channel=channel,
            address=address,
            name=name,
            template=template,
            values={"customer": name, "shop": shop_of(actor).name, **values},
            about=("invoice", invoice.id),
            dedupe_key=f"payment:{invoice.id}:{stage}",
            language=language,
        )
    except Invalid:
        # The stored address is invalid: the follow-up itself asks a person to call.
        return


def withhold_payment_reminders(*, actor: Actor, invoice_ids: Iterable[UUID]) -> None:
    """Withhold reminders that have not gone out of invoices that are paid, or that are in a later stage."""
    for invoice_id in invoice_ids:
        withhold_unsent(actor=actor, about=("invoice", invoice_id), templates=(FIRST, LATER))
