"""Secret addresses of invoices, receipts and statements (`documents.services.secret_links`)."""

from datetime import timedelta
from typing import NamedTuple
from uuid import UUID

from django.conf import settings

from shopapi.billing.models import BillingPrintout, Invoice
from shopapi.billing.queries.invoices import invoices
from shopapi.billing.queries.printouts import billing_printouts
from shopapi.billing.rules.invoices import InvoiceState
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.errors import NotFound
from shopapi.core.tenancy import in_shop
from shopapi.documents.models import Document
from shopapi.documents.services import secret_links

PURPOSES = {"invoice": b"shopapi.billing.invoice-link", "printout": b"shopapi.billing.printout-link"}
LIFETIME = timedelta(days=400)
"""How long a paper can be opened by its link: a tax year and the weeks after it."""


class LinkedPaper(NamedTuple):
    """What a link leads to. `document` None: not made yet, or failed; `language`: that of its customer."""

    shop_id: UUID
    state: str
    document: Document | None
    language: str


def invoice_address(actor: Actor, invoice_id: UUID) -> str:
    """The address of an issued invoice for a message that is sent now."""
    if not invoices(actor).filter(id=invoice_id).exclude(state=InvoiceState.DRAFT).exists():
        raise NotFound("invoices", invoice_id)
    return _address(actor, "invoice", invoice_id)


def printout_address(actor: Actor, printout_id: UUID) -> str:
    """The address of a receipt or a statement for a message that is sent now."""
    if not billing_printouts(actor).filter(id=printout_id).exists():
        raise NotFound("billing printouts", printout_id)
    return _address(actor, "printout", printout_id)


def _address(actor: Actor, kind: str, row_id: UUID) -> str:
    return f"{settings.ORIGIN}/bill/{secret_links.token_of(PURPOSES[kind], actor.shop_id, row_id)}"


def paper_by(token: str) -> LinkedPaper | None:
    """The paper of a secret; None for one that was not made here, and for one that is too old."""
    for kind, purpose in PURPOSES.items():
        named = secret_links.read_token(purpose, token)
        if named is not None:
            with in_shop(named[0]):
                return _invoice(*named) if kind == "invoice" else _printout(*named)
    return None


def _invoice(shop_id: UUID, invoice_id: UUID) -> LinkedPaper | None:
    found = Invoice.objects.filter(shop=shop_id, id=invoice_id, issued_at__gt=now() - LIFETIME)
    invoice = found.select_related("pdf", "customer").first()
    if invoice is None:
        return None
    return LinkedPaper(shop_id, invoice.pdf_state, invoice.pdf, invoice.customer.language)


def _printout(shop_id: UUID, printout_id: UUID) -> LinkedPaper | None:
    found = BillingPrintout.objects.filter(shop=shop_id, id=printout_id, created_at__gt=now() - LIFETIME)
    printout = found.select_related("document", "customer").first()
    if printout is None:
        return None
    return LinkedPaper(shop_id, printout.state, printout.document, printout.customer.language)
