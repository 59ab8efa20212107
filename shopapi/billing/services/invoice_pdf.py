"""The PDF of an issued invoice or credit note: made once by a worker, with what was paid by then."""

from uuid import UUID

from shopapi.accounts.models import Shop
from shopapi.accounts.rules import Permission
from shopapi.billing.models import Invoice
from shopapi.billing.queries import invoices as queries
from shopapi.billing.queries.paper import invoice_facts
from shopapi.billing.rules.document import invoice_document
from shopapi.billing.rules.invoices import InvoiceKind, InvoiceShown, InvoiceState
from shopapi.billing.rules.paper.facts import PaperShop
from shopapi.billing.rules.paper.invoice_sheet import InvoiceSheet, lay_out_invoice
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.background import after_commit
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, FieldError, Reason, Unavailable, pack
from shopapi.core.feed import lock_shop
from shopapi.core.schema import Target, parse
from shopapi.documents.services import render_pdf
from shopapi.documents.services.storage import keep_document
from shopapi.quotes.services.quote_pdf import paper_size_of

TEMPLATE = "billing/invoice.html"


def request_pdf(actor: Actor, invoice: Invoice) -> None:
    """Add the outbox entry for the PDF of an issued invoice."""
    invoice.pdf_state, invoice.pdf_reason = "waiting", None
    invoice.save(update_fields=["pdf_state", "pdf_reason"])
    after_commit("billing.make_pdf", shop_id=actor.shop_id, invoice_id=invoice.id)


@command(needs=Permission.BILL)
def remake_invoice_pdf(*, actor: Actor, data: Target) -> Invoice:
    """Request the PDF of an issued invoice again, such as after it failed."""
    invoice = queries.invoice_for(actor, data.id, field="id")
    if invoice.state == InvoiceState.DRAFT:
        raise Conflict("invoice_not_issued", fields=[FieldError("id", "invoice_not_issued")])
    request_pdf(actor, invoice)
    record(actor, "PDF asked for", ("invoice", invoice.id))
    return invoice


def make_pdf(*, actor: Actor, invoice_id: UUID) -> Invoice | None:
    """Make and store the PDF of an invoice, or the reason why that failed. None: there is no such invoice.

    The caller holds the transaction. The shop's write lock is taken only after rendering.
    """
    invoice = queries.invoices(actor).select_related("job__machine").filter(id=invoice_id).first()
    if invoice is None or invoice.state == InvoiceState.DRAFT:
        return None
    shop = Shop.objects.get(id=actor.shop_id)
    sheet = sheet_of(actor, invoice, shop)
    try:
        content = render_pdf(TEMPLATE, {"sheet": sheet}, paper_size=paper_size_of(shop), language=sheet.language)
        document = keep_document(actor=actor, content=content, media_type="application/pdf")
    except Unavailable as error:
        return mark_pdf_failed(actor=actor, invoice_id=invoice_id, reason=error.reason)
    lock_shop(actor.shop_id)
    invoice = queries.invoice_for(actor, invoice_id)
    invoice.pdf, invoice.pdf_state, invoice.pdf_reason = document, "ready", None
    invoice.save(update_fields=["pdf", "pdf_state", "pdf_reason"])
    record(actor, "PDF made", ("invoice", invoice.id), document=document.id, sha256=document.sha256)
    return invoice


def mark_pdf_failed(*, actor: Actor, invoice_id: UUID, reason: Reason) -> Invoice:
    """Store why no PDF could be made. The caller holds the transaction."""
    lock_shop(actor.shop_id)
    invoice = queries.invoice_for(actor, invoice_id)
    invoice.pdf_state, invoice.pdf_reason = "failed", pack(reason)
    invoice.save(update_fields=["pdf_state", "pdf_reason"])
    record(actor, "PDF failed", ("invoice", invoice.id), reason=reason.to_json())
    return invoice


def mark_overdue_pdfs_failed(*, actor: Actor) -> int:
    """Mark PDFs as failed whose outbox entry has failed. The caller holds the transaction; returns how many."""
    lost = queries.invoices_with_lost_pdf(actor)
    for invoice_id in lost:
        mark_pdf_failed(actor=actor, invoice_id=invoice_id, reason=Reason("pdf_given_up"))
    return len(lost)


def sheet_of(actor: Actor, invoice: Invoice, shop: Shop) -> InvoiceSheet:
    """The content of the PDF of an issued invoice."""
    totals = queries.totals_of(invoice)
    if totals is None or invoice.issued_on is None:
        raise ValueError(f"invoice {invoice.id} is not issued")
    document = invoice_document(
        kind=InvoiceKind(invoice.kind),
        number=invoice.number or invoice.mark,
        issued_on=invoice.issued_on,
        due_on=invoice.due_on,
        shown=parse(InvoiceShown, invoice.shown),
        book=queries.basis_of(invoice),
        lines=queries.lines_of(invoice),
        discount=queries.discount_of(invoice),
        exempt=invoice.exempt,
        totals=totals,
        note=invoice.note,
    )
    where = PaperShop(shop.locale, shop.zone, document["currency"])
    return lay_out_invoice(document, totals, invoice_facts(actor, invoice, shop), shop=where)
