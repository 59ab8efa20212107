"""The billing settings: their only writer."""

from uuid import UUID

from shopapi.accounts.rules import Permission
from shopapi.billing.models import BillingSettings, Invoice
from shopapi.billing.rules.invoices import InvoiceKind
from shopapi.billing.rules.payment_link import link_faults
from shopapi.billing.rules.settings import PAID_TO, AccountNames, BillingSettingsFields, settings_faults
from shopapi.billing.rules.transfers import account_faults
from shopapi.core.actor import Actor
from shopapi.core.commands import command
from shopapi.core.edits import edit_row, edited
from shopapi.core.errors import FieldError, NotFound, refuse_faults
from shopapi.core.schema import Edit


def add_settings(actor: Actor) -> None:
    """The settings of a new shop."""
    BillingSettings.objects.get_or_create(id=actor.shop_id, defaults={"shop_id": actor.shop_id})


@command(needs=Permission.EDIT_SHOP)
def edit_billing_settings(*, actor: Actor, data: Edit[BillingSettingsFields]) -> BillingSettings:
    """Edit how the shop bills and is paid.

    A prefix that the numbers of the other series have had is refused, since two documents could get the same number.
    Where customers pay to changes only for somebody who has just given the password or a passkey.
    """
    row = _settings_for(actor, data.id)
    wanted = edited(row, data)
    faults = settings_faults(wanted) + link_faults(wanted.payment_url)
    faults += account_faults(iban=wanted.iban, bic=wanted.bic, account_name=wanted.account_name)
    for field, other in (("invoice_prefix", InvoiceKind.CREDIT_NOTE), ("credit_prefix", InvoiceKind.INVOICE)):
        prefix = getattr(wanted, field)
        used = Invoice.objects.filter(shop=actor.shop_id, kind=other, number__startswith=f"{prefix}-")
        if prefix != getattr(row, field) and used.exists():
            faults.append(FieldError(field, "prefix_used"))
    refuse_faults(faults)
    if any(getattr(wanted, field) != getattr(row, field) for field in PAID_TO):
        actor.require_proof("bank_proof_needed")
    return edit_row(actor=actor, kind="billing_settings", row=row, edit=data)


@command(needs=Permission.KEEP_BOOKS, rest_name="name-accounts")
def edit_account_names(*, actor: Actor, data: Edit[AccountNames]) -> BillingSettings:
    """Edit what the bookkeeper calls the accounts; the other settings stay."""
    return edit_row(actor=actor, kind="billing_settings", row=_settings_for(actor, data.id), edit=data)


def _settings_for(actor: Actor, row_id: UUID) -> BillingSettings:
    if row_id != actor.shop_id:
        raise NotFound("billing settings", row_id)
    add_settings(actor)
    return BillingSettings.objects.select_for_update().get(id=row_id)
