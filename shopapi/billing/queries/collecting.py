"""What is to be billed on a job, and how far, from the rows."""

from uuid import UUID

from shopapi.billing.models import Invoice, InvoiceLine
from shopapi.billing.queries.invoices import lines_of, settings_of, totals_of
from shopapi.billing.queries.storage import stored_days
from shopapi.billing.queries.trips import driven_trips
from shopapi.billing.rules.authorized import Authorized, counted
from shopapi.billing.rules.collecting import Collected, FittedPart, JobWork, Warranty, collect
from shopapi.billing.rules.invoices import InvoiceState, sign_of
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.money import percent_of, round_half
from shopapi.parts.models import PartNeed
from shopapi.parts.rules.needs import PartState
from shopapi.quotes.models import IntakeTerms
from shopapi.quotes.queries.agreed import decided_quotes, seconds_by_line
from shopapi.quotes.rules import ShopPrices, compute_totals


def collected(actor: Actor, job_id: UUID, basis: ShopPrices, *, storage: bool = False) -> Collected:
    """The lines of an invoice for a job, on a basis; with storage where it is chosen."""
    settings = settings_of(actor)
    work = JobWork(
        quotes=decided_quotes(actor, job_id),
        seconds=seconds_by_line(actor, job_id, at=now()),
        parts=_fitted(actor, job_id),
        billed=_billed(actor, job_id),
        trips=driven_trips(actor, job_id),
        storage=stored_days(actor, job_id) if storage else None,
    )
    warranty = Warranty(settings.warranty_days, settings.warranty_hours)
    return collect(basis, work, labor=settings.labor, warranty=warranty, mint=uuid7)


def _fitted(actor: Actor, job_id: UUID) -> list[FittedPart]:
    rows = PartNeed.objects.filter(shop=actor.shop_id, job=job_id, state=PartState.FITTED, line_id=None)
    return [
        FittedPart(
            need_id=row.id,
            description=row.description,
            number=row.number,
            quantity=row.quantity,
            price_minor=row.agreed_minor if row.agreed_minor is not None else row.price_minor,
            cost_minor=row.cost_minor,
            core_minor=row.core_minor,
        )
        for row in rows.order_by("fitted_at", "id")
    ]


def _billed(actor: Actor, job_id: UUID) -> set[UUID]:
    """The lines of quotes, the parts and the trips that are on an invoice of the job which is not cancelled."""
    rows = InvoiceLine.objects.filter(shop=actor.shop_id, invoice__job=job_id, invoice__kind="invoice")
    ids = rows.exclude(invoice__state=InvoiceState.CANCELLED).values_list("quote_line_id", "need_id", "stop_id")
    return {one for row in ids for one in row if one is not None}


def authorized(actor: Actor, job_id: UUID) -> Authorized:
    """What the customer of a job agreed to, and how far it may be exceeded."""
    agreed = allowed = 0
    quotes = decided_quotes(actor, job_id)
    for quote in quotes:
        totals = compute_totals(
            quote.book, quote.lines, accepted=quote.accepted, discount=quote.discount, exempt=quote.exempt
        )
        agreed += totals.subtotal_minor
        tolerance = percent_of(totals.subtotal_minor, quote.book.tolerance_percent)
        allowed += max(0, round_half(tolerance, quote.book.rounding))
    if not quotes:
        told = IntakeTerms.objects.filter(shop=actor.shop_id, job=job_id).order_by("accepted_at", "id").last()
        agreed = 0 if told is None else told.diagnosis_fee_minor or 0
    return Authorized(agreed, max(allowed, settings_of(actor).tolerance_minor))


def billed_on(actor: Actor, job_id: UUID) -> list[int]:
    """What was billed on a job before tax and without storage, credit notes negative."""
    issued = Invoice.objects.filter(shop=actor.shop_id, job=job_id).exclude(state=InvoiceState.DRAFT)
    found = []
    for invoice in issued.order_by("issued_at", "id"):
        totals = totals_of(invoice)
        found.append(0 if totals is None else sign_of(invoice.kind) * counted(totals, lines_of(invoice)))
    return found
