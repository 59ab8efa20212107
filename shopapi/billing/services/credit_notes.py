"""Credit notes: drafts that mirror an invoice, and issuing them."""

from uuid import UUID

from shopapi.accounts.rules import Permission
from shopapi.billing.models import Invoice
from shopapi.billing.queries import invoices as queries
from shopapi.billing.rules.credit_notes import credit_faults, mirrored
from shopapi.billing.rules.invoices import CreditedLine, InvoiceIssue, InvoiceKind, InvoiceState, NewCreditNote
from shopapi.billing.services.invoices import add_lines, draft_for, with_totals
from shopapi.billing.services.issuing import checked_totals, issue, money
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, FieldError, Invalid
from shopapi.core.ids import uuid7
from shopapi.core.rows import refuse_known_id
from shopapi.core.schema import to_json


@command(needs=Permission.KEEP_BOOKS, creates_row=True, rest_name="credit-notes")
def draft_credit_note(*, actor: Actor, data: NewCreditNote) -> Invoice:
    """Create the draft of a credit note for an invoice, or for some of its lines, of some of them a part.

    Raises Conflict for a draft, a credit note and an invoice that is credited in full.
    """
    refuse_known_id(Invoice, data.id)
    invoice = _creditable(actor, data.credited_id)
    lines = queries.lines_of(invoice)
    all_of_it = tuple(CreditedLine(id=uuid7(), line_id=line.id) for line in lines)
    wanted = all_of_it if data.lines is None else data.lines
    ids, taken = {one.line_id: one.id for one in wanted}, {one.line_id: one.quantity for one in wanted}
    if len(taken) < len(wanted):
        raise Invalid("invalid", fields=[FieldError("lines", "credited_line_twice")])
    if faults := credit_faults(lines, taken):
        raise Invalid("invalid", message="credit_note_invalid", fields=faults)
    mirror = mirrored(queries.basis_of(invoice), lines, queries.discount_of(invoice), taken)
    note = Invoice.objects.create(
        id=data.id,
        shop_id=actor.shop_id,
        job=invoice.job,
        customer=invoice.customer,
        kind=InvoiceKind.CREDIT_NOTE,
        credited=invoice,
        mark=data.mark,
        basis=to_json(mirror.basis),
        discount=to_json(mirror.discount),
        exempt=invoice.exempt,
        note=data.note,
    )
    add_lines(actor, note, [line.model_copy(update={"id": ids[line.id]}) for line in mirror.lines])
    record(actor, "credit note drafted", ("invoice", note.id), credits=invoice.number)
    return with_totals(note)


def _creditable(actor: Actor, invoice_id: UUID) -> Invoice:
    invoice = queries.invoice_for(actor, invoice_id, field="credited_id")
    code = ""
    if invoice.kind == InvoiceKind.CREDIT_NOTE:
        code = "credit_note_of_credit_note"
    elif invoice.state == InvoiceState.DRAFT:
        code = "credit_note_of_draft"
    elif invoice.state == InvoiceState.CANCELLED:
        code = "credited_in_full"
    if code:
        raise Conflict(code, fields=[FieldError("credited_id", code)])
    return invoice


@command(needs=Permission.KEEP_BOOKS)
def issue_credit_note(*, actor: Actor, data: InvoiceIssue) -> Invoice:
    """Issue a credit note; its invoice is cancelled once all of it is credited.

    It keeps the tax of its invoice, whatever is in force now. Raises Conflict for more than what is left to credit.
    """
    note = draft_for(actor, data.id, field="id")
    if note.kind != InvoiceKind.CREDIT_NOTE or note.credited_id is None:
        raise Conflict("not_a_credit_note", fields=[FieldError("id", "not_a_credit_note")])
    invoice = _creditable(actor, note.credited_id)
    totals = checked_totals(actor, note, data)
    left = queries.left_to_credit(invoice)
    if totals.total_minor > left:
        context = {"left": money(actor, left)}
        fault = FieldError("total_minor", "credited_too_much", context=context)
        raise Conflict("credited_too_much", fields=[fault], context=context)
    issue(actor, note, data, totals)
    if totals.total_minor == left:
        invoice.state = InvoiceState.CANCELLED
        invoice.save(update_fields=["state"])
        record(actor, "invoice cancelled", ("invoice", invoice.id), by=note.number)
    return note
