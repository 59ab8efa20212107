"""Drafts of invoices and their lines: their only writer."""

from collections.abc import Sequence
from dataclasses import replace
from uuid import UUID

from shopapi.accounts.rules import Permission
from shopapi.billing.models import Invoice, InvoiceLine
from shopapi.billing.queries import invoices as queries
from shopapi.billing.queries.collecting import collected
from shopapi.billing.rules.credit_notes import credits_whole
from shopapi.billing.rules.invoices import (
    BilledLine,
    InvoiceFields,
    InvoiceKind,
    InvoiceState,
    InvoiceTaxChoice,
    NewInvoice,
    PutInvoiceLine,
)
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.edits import edit_row
from shopapi.core.errors import Conflict, FieldError, Invalid, NotFound
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.core.schema import Edit, Target, to_json
from shopapi.customers.models import Customer
from shopapi.jobs.models import Job
from shopapi.quotes.queries import prices_of_shop
from shopapi.quotes.rules import ShopPrices, check_book, check_lines, compute_totals
from shopapi.quotes.rules.prices import part_price


@command(needs=Permission.BILL, creates_row=True)
def draft_invoice(*, actor: Actor, data: NewInvoice) -> Invoice:
    """Create the draft of an invoice with its lines."""
    refuse_known_id(Invoice, data.id)
    job = None if data.job_id is None else row_for(Job, actor, data.job_id, field="job_id")
    customer = row_for(Customer, actor, data.customer_id, field="customer_id")
    basis = data.basis
    if not actor.may(Permission.SEE_COST):
        # Members who may not see costs have a book without mark-ups, so those of the shop's book are used.
        basis = basis.model_copy(update={"part_bands": prices_of_shop(actor).part_bands})
    _check_basis(basis)
    invoice = Invoice.objects.create(
        id=data.id,
        shop_id=actor.shop_id,
        job=job,
        customer=customer,
        mark=data.mark,
        basis=to_json(basis),
        discount=to_json(data.discount),
        exempt=customer.tax_exempt,
        note=data.note,
    )
    lines: Sequence[BilledLine] = data.lines or ()
    if data.lines is None and job is not None:
        found = collected(actor, job.id, basis, storage=data.storage)
        lines, invoice.discount = found.lines, to_json(found.discount)
        invoice.save(update_fields=["discount"])
    add_lines(actor, invoice, lines)
    record(actor, "invoice drafted", ("invoice", invoice.id), job=data.job_id, lines=len(lines))
    return with_totals(invoice)


def _check_basis(basis: ShopPrices) -> None:
    faults = check_book(basis)
    if not faults and len(basis.tax_profiles) != 1:
        faults = [FieldError("tax_profiles", "one_profile", message="one_profile_on_invoice")]
    if faults:
        fields = [replace(fault, field=f"basis.{fault.field}") for fault in faults]
        raise Invalid("invalid", message="invoice_basis_invalid", fields=fields)


def add_lines(actor: Actor, invoice: Invoice, lines: Sequence[BilledLine]) -> None:
    """The lines of a new draft. Raises Invalid with a path such as "lines.2.hours"."""
    basis = queries.basis_of(invoice)
    if faults := check_lines(basis, lines):
        raise Invalid("invalid", message="invoice_invalid", fields=faults)
    for line in lines:
        refuse_known_id(InvoiceLine, line.id)
        InvoiceLine.objects.create(
            shop_id=actor.shop_id,
            invoice=invoice,
            asked_unit_minor=part_price(basis, line) if line.unit_cost_minor is not None else None,
            **{name: getattr(line, name) for name in queries.FIGURES_OF_LINE},
        )


def draft_for(actor: Actor, invoice_id: UUID, *, field: str) -> Invoice:
    """A draft, locked. Raises NotFound, and Conflict once it is issued; a credit note needs its own permission."""
    invoice = queries.invoice_for(actor, invoice_id, field=field)
    if invoice.state != InvoiceState.DRAFT:
        raise Conflict("invoice_issued", fields=[FieldError(field, "invoice_issued")])
    if invoice.kind == InvoiceKind.CREDIT_NOTE:
        actor.require(Permission.KEEP_BOOKS)
    return invoice


def _changeable_draft(actor: Actor, invoice_id: UUID, *, field: str) -> Invoice:
    """A draft whose lines and discount may change. Raises Conflict for the credit note of a whole invoice."""
    invoice = draft_for(actor, invoice_id, field=field)
    if invoice.kind == InvoiceKind.CREDIT_NOTE and credits_whole(queries.basis_of(invoice)):
        raise Conflict("credit_note_whole", fields=[FieldError(field, "credit_note_whole")])
    return invoice


@command(needs=Permission.BILL)
def edit_invoice(*, actor: Actor, data: Edit[InvoiceFields]) -> Invoice:
    """Edit a draft's note, discount or due day."""
    find = _changeable_draft if "discount" in data.set else draft_for
    invoice = find(actor, data.id, field="id")
    edit_row(actor=actor, kind="invoice", row=invoice, edit=data)
    return with_totals(invoice)


@command(needs=Permission.BILL)
def choose_invoice_tax(*, actor: Actor, data: InvoiceTaxChoice) -> Invoice:
    """Change a draft's tax profile, such as to the one in force today; its prices do not change."""
    invoice = draft_for(actor, data.id, field="id")
    if invoice.kind == InvoiceKind.CREDIT_NOTE:
        raise Conflict("credit_note_keeps_tax", fields=[FieldError("tax_profile", "credit_note_keeps_tax")])
    basis = queries.basis_of(invoice).model_copy(update={"tax_profiles": (data.tax_profile,)})
    if faults := check_book(basis):
        fields = [replace(f, field=f.field.replace("tax_profiles.0", "tax_profile")) for f in faults]
        raise Invalid("invalid", message="tax_profile_invalid", fields=fields)
    invoice.basis = to_json(basis)
    invoice.save(update_fields=["basis"])
    record(actor, "invoice tax chosen", ("invoice", invoice.id), tax_profile=data.tax_profile.key)
    return with_totals(invoice)


@command(needs=Permission.BILL, creates_row=True)
def put_invoice_line(*, actor: Actor, data: PutInvoiceLine) -> InvoiceLine:
    """Create or replace one line of a draft."""
    invoice = _changeable_draft(actor, data.invoice_id, field="invoice_id")
    known = InvoiceLine.objects.filter(id=data.id).first()
    if known is not None and known.invoice_id != invoice.id:
        raise NotFound("invoice line", data.id)
    figures = {name: getattr(data, name) for name in queries.FIGURES_OF_LINE if name != "id"}
    if known is not None and _costs_were_hidden(actor, known, data):
        figures |= {"unit_cost_minor": known.unit_cost_minor, "unit_price_minor": known.unit_price_minor}
    line = BilledLine(id=data.id, **figures)
    basis = queries.basis_of(invoice)
    faults = [fault for fault in check_lines(basis, [line]) if fault.field.startswith("lines.0")]
    if faults:
        fields = [replace(fault, field=fault.field.removeprefix("lines.0").lstrip(".")) for fault in faults]
        raise Invalid("invalid", message="invoice_line_invalid", fields=fields)
    asked = part_price(basis, line) if line.unit_cost_minor is not None else None
    row = known or InvoiceLine(id=data.id, shop_id=actor.shop_id, invoice=invoice)
    for name, value in {**figures, "asked_unit_minor": asked}.items():
        setattr(row, name, value)
    row.save(force_insert=known is None)
    record(actor, "invoice line put", ("invoice", invoice.id), line=row.id, new=known is None)
    with_totals(invoice)
    return row


def _costs_were_hidden(actor: Actor, known: InvoiceLine, data: PutInvoiceLine) -> bool:
    """Whether the line is from a member who saw only the price computed from its cost, and did not change it."""
    return (
        not actor.may(Permission.SEE_COST)
        and known.unit_cost_minor is not None
        and data.unit_price_minor == known.asked_unit_minor
    )


@command(needs=Permission.BILL, deletes_row=True)
def remove_invoice_line(*, actor: Actor, data: Target) -> InvoiceLine:
    """Delete a line of a draft."""
    line = row_for(InvoiceLine, actor, data.id)
    invoice = _changeable_draft(actor, line.invoice_id, field="id")
    line.delete()
    line.id = data.id
    record(actor, "invoice line removed", ("invoice", invoice.id), line=data.id, words=line.words)
    with_totals(invoice)
    return line


@command(needs=Permission.BILL, deletes_row=True)
def discard_invoice(*, actor: Actor, data: Target) -> Invoice:
    """Delete a draft with its lines; it never had a number."""
    invoice = draft_for(actor, data.id, field="id")
    InvoiceLine.objects.filter(shop=actor.shop_id, invoice=invoice).delete()
    invoice.delete()
    invoice.id = data.id
    record(actor, "invoice discarded", ("invoice", data.id), mark=invoice.mark)
    return invoice


def with_totals(invoice: Invoice) -> Invoice:
    """The draft with recomputed totals, or without totals while a line is incomplete."""
    lines, basis, discount = queries.lines_of(invoice), queries.basis_of(invoice), queries.discount_of(invoice)
    totals, exempt = None, invoice.exempt
    if invoice.kind == InvoiceKind.INVOICE:
        exempt = invoice.customer.tax_exempt
    if not check_lines(basis, lines, discount=discount):
        totals = to_json(compute_totals(basis, lines, discount=discount, exempt=exempt))
    if (invoice.totals, invoice.exempt) != (totals, exempt):
        invoice.totals, invoice.exempt = totals, exempt
        invoice.save(update_fields=["totals", "exempt"])
    return invoice
