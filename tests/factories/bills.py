"""Invoices and credit notes, created by the phone's commands."""

from typing import Any
from uuid import UUID

from shopapi.billing.models import Invoice
from shopapi.billing.services.credit_notes import draft_credit_note, issue_credit_note
from shopapi.billing.services.invoices import draft_invoice
from shopapi.billing.services.issuing import issue_invoice
from shopapi.core.actor import Actor
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Job
from tests.factories import work
from tests.factories.work import do, made


def customer_of(actor: Actor, job_id: UUID) -> UUID:
    with in_shop(actor.shop_id):
        customer_id: UUID = Job.objects.values_list("customer_id", flat=True).get(id=job_id)
    return customer_id


def an_invoice(actor: Actor, job_id: UUID | None = None, **more: Any) -> UUID:
    """A draft of 163.00 without a job, by default of a new customer: one line of labor, one of parts."""
    customer_id = more.pop("customer_id", None)
    if customer_id is None:
        customer_id = work.a_customer(actor) if job_id is None else customer_of(actor, job_id)
    defaults = {
        "id": uuid7(),
        "job_id": job_id,
        "customer_id": customer_id,
        "mark": "B-7-I1",
        "basis": more.pop("basis", None) or work.a_basis(actor),
        "lines": [work.labor(), work.part()],
    }
    return made(actor, draft_invoice, **{**defaults, **more})


def an_agreed_job(actor: Actor, **more: Any) -> UUID:
    """A job whose customer has agreed to 163.00: an hour and a half of labor, two parts."""
    job_id = work.a_job(actor, **more)
    work.a_decision(actor, work.an_offer(actor, job_id))
    return job_id


def issue_of(actor: Actor, invoice_id: UUID, **more: Any) -> dict[str, Any]:
    """The arguments to issue a draft today, as it is shown."""
    with in_shop(actor.shop_id):
        totals = Invoice.objects.get(id=invoice_id).totals
    assert totals is not None
    return {"id": invoice_id, "issued_on": work.today(), "total_minor": totals["total_minor"], **more}


def an_issued_invoice(actor: Actor, job_id: UUID | None = None, **more: Any) -> UUID:
    """An issued invoice of 163.00; on a job, its customer must have agreed to as much (`an_agreed_job`)."""
    invoice_id = an_invoice(actor, job_id, **more)
    do(actor, issue_invoice, **issue_of(actor, invoice_id))
    return invoice_id


def a_credit_note(actor: Actor, invoice_id: UUID, **more: Any) -> UUID:
    """The draft of a credit note for all of an invoice."""
    return made(actor, draft_credit_note, **{"id": uuid7(), "credited_id": invoice_id, "note": "Billed twice", **more})


def an_issued_credit_note(actor: Actor, invoice_id: UUID, **more: Any) -> UUID:
    note_id = a_credit_note(actor, invoice_id, **more)
    do(actor, issue_credit_note, **issue_of(actor, note_id))
    return note_id
