"""Invoices as rows, and as data for the rules."""

from typing import cast
from uuid import UUID

from django.db.models import QuerySet

from shopapi.accounts.rules import Permission
from shopapi.billing.models import BillingSettings, Invoice, InvoiceLine
from shopapi.billing.rules.invoices import (
    BilledLine,
    InvoiceKind,
    InvoiceLineRow,
    InvoiceRow,
    InvoiceShown,
    InvoiceState,
)
from shopapi.billing.rules.settings import BillingSettingsFields
from shopapi.core.actor import Actor
from shopapi.core.models import Outbox
from shopapi.core.rendering import show_stored
from shopapi.core.rows import row_among
from shopapi.core.schema import parse, to_json
from shopapi.quotes.rules import Discount, QuoteTotals, ShopPrices
from shopapi.quotes.rules.schemas import PdfState, QuotePdf

FIGURES_OF_LINE = tuple(BilledLine.model_fields)


def settings_of(actor: Actor) -> BillingSettingsFields:
    """The billing settings of the shop, or those of a new one."""
    stored = BillingSettings.objects.filter(id=actor.shop_id).first()
    if stored is None:
        return BillingSettingsFields()
    return parse(
        BillingSettingsFields,
        {name: to_json(getattr(stored, name)) for name in BillingSettingsFields.model_fields},
    )


def invoices(actor: Actor) -> QuerySet[Invoice]:
    return Invoice.objects.filter(shop=actor.shop_id).select_related("pdf")


def invoice_lines(actor: Actor) -> QuerySet[InvoiceLine]:
    return InvoiceLine.objects.filter(shop=actor.shop_id)


def invoice_for(actor: Actor, invoice_id: UUID, *, field: str = "invoice_id") -> Invoice:
    """An invoice of the shop with its customer, job and machine, locked. Raises NotFound."""
    rows = Invoice.objects.filter(shop=actor.shop_id).select_related("customer", "job__machine", "credited")
    return row_among(rows, invoice_id, field=field)


def lines_of(invoice: Invoice) -> list[BilledLine]:
    """The lines of an invoice as rule objects, in order."""
    rows = InvoiceLine.objects.filter(shop=invoice.shop_id, invoice=invoice.id).order_by("position", "id")
    return [billed_line(row) for row in rows]


def billed_line(row: InvoiceLine) -> BilledLine:
    return BilledLine(**{name: getattr(row, name) for name in FIGURES_OF_LINE})


def basis_of(invoice: Invoice) -> ShopPrices:
    return parse(ShopPrices, invoice.basis)


def discount_of(invoice: Invoice) -> Discount:
    return parse(Discount, invoice.discount)


def totals_of(invoice: Invoice) -> QuoteTotals | None:
    return None if invoice.totals is None else parse(QuoteTotals, invoice.totals)


def show_invoice(actor: Actor, invoice: Invoice) -> InvoiceRow:
    ready = invoice.pdf_state == "ready" and invoice.pdf is not None
    same = (
        "id",
        "created_at",
        "changed_at",
        "job_id",
        "customer_id",
        "credited_id",
        "number",
        "mark",
        "exempt",
        "note",
        "issued_on",
        "due_on",
        "issued_at",
        "issued_by_id",
        "digest",
    )
    return InvoiceRow(
        **{name: getattr(invoice, name) for name in same},
        kind=InvoiceKind(invoice.kind),
        state=InvoiceState(invoice.state),
        basis=basis_of(invoice),
        discount=discount_of(invoice),
        shown=None if invoice.shown is None else parse(InvoiceShown, invoice.shown),
        totals=totals_of(invoice),
        pdf=QuotePdf(
            state=cast("PdfState", invoice.pdf_state),
            reason=show_stored(invoice.pdf_reason or "") or None,
            url=f"/api/v1/invoices/{invoice.id}/pdf" if ready else None,
            bytes=invoice.pdf.size if ready else None,
        ),
    )


def show_invoice_line(actor: Actor, line: InvoiceLine) -> InvoiceLineRow:
    """A line for devices; where costs are hidden, with the price computed from the cost."""
    row = InvoiceLineRow.of(line)
    if actor.may(Permission.SEE_COST) or line.unit_cost_minor is None:
        return row
    return row.model_copy(update={"unit_price_minor": line.asked_unit_minor})


def left_to_credit(invoice: Invoice) -> int:
    """What is not credited yet of an issued invoice, in minor units with tax."""
    issued = Invoice.objects.filter(
        shop=invoice.shop_id, credited=invoice, state__in=[InvoiceState.ISSUED, InvoiceState.CANCELLED]
    )
    return total_of(invoice) - sum(total_of(note) for note in issued)


def total_of(invoice: Invoice) -> int:
    """The total with tax, positive for credit notes too; 0 while a line is incomplete."""
    totals = totals_of(invoice)
    return 0 if totals is None else totals.total_minor


def invoices_awaiting_pdf(actor: Actor) -> QuerySet[Invoice]:
    """Invoices whose PDF is not made yet."""
    return Invoice.objects.filter(shop=actor.shop_id, pdf_state="waiting")


def invoices_with_lost_pdf(actor: Actor) -> list[UUID]:
    """Invoices that wait for a PDF whose outbox entry has failed."""
    entries = Outbox.objects.filter(shop_id=actor.shop_id, task="billing.make_pdf", done_at=None)
    failed = set(entries.exclude(failed_at=None).values_list("args__invoice_id", flat=True))
    pending = set(entries.filter(failed_at=None).values_list("args__invoice_id", flat=True))
    waiting = invoices_awaiting_pdf(actor).filter(id__in=failed - pending)
    return list(waiting.order_by("id").values_list("id", flat=True))
