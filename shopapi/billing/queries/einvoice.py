"""An issued invoice as a document of EN 16931."""

from uuid import UUID

from shopapi.billing.models import Invoice
from shopapi.billing.queries.invoices import (
    basis_of,
    invoices,
    lines_of,
    settings_of,
    totals_of,
)
from shopapi.billing.queries.paper import settled_at
from shopapi.billing.rules.einvoice.document import EInvoice
from shopapi.billing.rules.einvoice.of_invoice import IssuedDocument, einvoice_of
from shopapi.billing.rules.invoices import InvoiceKind, InvoiceShown, InvoiceState
from shopapi.core.actor import Actor
from shopapi.core.errors import Conflict, NotFound
from shopapi.core.schema import parse


def einvoice(actor: Actor, invoice_id: UUID) -> EInvoice:
    """An issued invoice or credit note. Raises NotFound; Conflict for a draft, or where it cannot be written so."""
    invoice = invoices(actor).select_related("credited").filter(id=invoice_id).first()
    if invoice is None:
        raise NotFound("invoices", invoice_id)
    totals = totals_of(invoice)
    if invoice.state == InvoiceState.DRAFT or totals is None or invoice.issued_on is None:
        raise Conflict("einvoice_of_draft")
    credited = invoice.credited
    issued = IssuedDocument(
        kind=InvoiceKind(invoice.kind),
        number=invoice.number or "",
        issued_on=invoice.issued_on,
        due_on=invoice.due_on,
        shown=parse(InvoiceShown, invoice.shown),
        book=basis_of(invoice),
        lines=tuple(lines_of(invoice)),
        exempt=invoice.exempt,
        totals=totals,
        note=invoice.note,
        paid_minor=_paid_before(actor, invoice),
        credited=None if credited is None else (credited.number or "", credited.issued_on),
    )
    return einvoice_of(issued, settings_of(actor))


def _paid_before(actor: Actor, invoice: Invoice) -> int:
    """What was paid of it when it was issued; of an invoice from before that was kept, by the times of the entries."""
    if invoice.kind == InvoiceKind.CREDIT_NOTE:
        return 0
    if invoice.paid_before_minor is None and invoice.issued_at is not None:
        return settled_at(actor, invoice, invoice.issued_at)[0]
    return invoice.paid_before_minor or 0
