"""The PDF of an offered quote."""

from collections.abc import Collection
from datetime import date
from typing import cast
from uuid import UUID
from zoneinfo import ZoneInfo

from shopapi.accounts.models import Shop
from shopapi.accounts.rules import PaperSize
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.errors import Conflict, Reason, Unavailable, pack
from shopapi.core.feed import lock_shop
from shopapi.core.schema import parse
from shopapi.documents.services import render_pdf
from shopapi.documents.services.storage import keep_document
from shopapi.jobs.models import Complaint, Job
from shopapi.quotes import queries
from shopapi.quotes.models import Approval, Quote
from shopapi.quotes.rules.pdf import (
    ComplaintFacts,
    CustomerFacts,
    DecisionFacts,
    MachineFacts,
    QuoteFacts,
    QuoteSheet,
    ShopHead,
    SignedBefore,
    SiteFacts,
    lay_out,
)
from shopapi.quotes.rules.pdf.changes import changes_from
from shopapi.quotes.rules.schemas import How, Shown

TEMPLATE = "quotes/quote.html"


def make_pdf(*, actor: Actor, quote_id: UUID) -> Quote | None:
    """Make and store the PDF of a quote, or store the reason why that failed. None: there is no such quote.

    The caller holds the transaction. The shop's write lock is taken only after rendering, which takes half a second or
    more and should not block other writes. Raises Conflict `pdf_outdated` when the quote changed meanwhile: the
    outbox entry stays pending and is retried.
    """
    quote = queries.quotes(actor).filter(id=quote_id).first()
    if quote is None or quote.offer_digest is None:
        return None
    shop = Shop.objects.get(id=actor.shop_id)
    page = page_of(quote, shop)
    try:
        content = render_pdf(TEMPLATE, {"quote": page}, paper_size=paper_size_of(shop), language=page.language)
        document = keep_document(actor=actor, content=content, media_type="application/pdf")
    except Unavailable as error:
        return mark_pdf_failed(actor=actor, quote_id=quote_id, reason=error.reason)
    lock_shop(actor.shop_id)
    quote = queries.quote_for(actor, quote_id)
    if page_of(quote, Shop.objects.get(id=actor.shop_id)) != page:
        raise Conflict("pdf_outdated")
    quote.pdf, quote.pdf_state, quote.pdf_reason = document, "ready", None
    quote.save(update_fields=["pdf", "pdf_state", "pdf_reason"])
    record(actor, "PDF made", ("quote", quote.id), document=document.id, sha256=document.sha256)
    return quote


def mark_pdf_failed(*, actor: Actor, quote_id: UUID, reason: Reason) -> Quote:
    """Store why no PDF could be made, so that devices can show it. The caller holds the transaction."""
    lock_shop(actor.shop_id)
    quote = queries.quote_for(actor, quote_id)
    quote.pdf_state, quote.pdf_reason = "failed", pack(reason)
    quote.save(update_fields=["pdf_state", "pdf_reason"])
    record(actor, "PDF failed", ("quote", quote.id), reason=reason.to_json())
    return quote


def mark_overdue_pdfs_failed(*, actor: Actor) -> int:
    """Mark PDFs as failed whose outbox entry has failed. The caller holds the transaction; returns how many."""
    lost = queries.quotes_with_lost_pdf(actor)
    for quote_id in lost:
        mark_pdf_failed(actor=actor, quote_id=quote_id, reason=Reason("pdf_given_up"))
    return len(lost)


def paper_size_of(shop: Shop) -> PaperSize:
    """The paper of a shop; letter unless it chose A4."""
    return "a4" if shop.paper_size == "a4" else "letter"


def page_of(quote: Quote, shop: Shop, *, counted: Collection[UUID] | None = None) -> QuoteSheet:
    """The content of an offered quote's PDF at this moment.

    `counted`: the lines to total, for a customer who is still choosing.
    """
    lines = queries.lines_of(quote)
    job = Job.objects.select_related("customer", "machine", "site").get(id=quote.job_id)
    approval = Approval.objects.filter(quote=quote, matches=True).select_related("signature").first()
    shown = parse(Shown, quote.shown)
    # While nothing is decided, all lines count.
    undecided = [line.id for line in lines] if counted is None else counted
    accepted_ids = undecided if approval is None else approval.accepted_ids
    return lay_out(
        offer=queries.offer_of(quote, shown, lines, valid_until=quote.valid_until or date.max),
        totals=queries.totals_as_decided(quote, lines, accepted_ids),
        quote=QuoteFacts(
            number=quote.number,
            mark=quote.mark,
            job=str(job),
            state=queries.state_of(quote),
            offered_at=quote.offered_at,
            digest=quote.offer_digest,
            note=quote.note,
        ),
        shop=ShopHead(
            address=shop.address,
            phone=shop.phone,
            email=shop.email,
            locale=shop.locale,
            zone=shop.zone,
        ),
        customer=_customer_facts(job),
        machine=machine_facts(job),
        site=None if job.site is None else SiteFacts(label=job.site.label, address=job.site.address),
        complaints=complaint_facts(job),
        decision=None if approval is None else _decision(approval),
        before=signed_before(quote, shop.zone),
        later=None if approval is not None else queries.later_as_decided(quote, lines, accepted_ids),
    )


def signed_before(quote: Quote, zone: str) -> SignedBefore | None:
    """The quote that was signed before this revision, whatever is undecided in between; its day in this zone."""
    if quote.replaces is None:
        return None
    before = quote.replaces
    approval = Approval.objects.filter(quote=before, matches=True).first()
    if approval is None or before.shown is None:
        return signed_before(before, zone)
    offer = queries.offer_of(
        before,
        parse(Shown, before.shown),
        queries.lines_of(before),
        valid_until=before.valid_until or date.max,
    )
    return SignedBefore(
        name=approval.decided_by_name,
        on=approval.decided_at.astimezone(ZoneInfo(zone)).date(),
        lines=offer["lines"],
        accepted=frozenset(map(str, approval.accepted_ids)),
        declined=frozenset(map(str, approval.declined_ids)),
    )


def kept_answers(quote: Quote) -> tuple[list[UUID], list[UUID]]:
    """The ids of the lines of an offered revision that keep a yes, and of those that keep a no."""
    before = signed_before(quote, "UTC")
    if before is None or quote.shown is None:
        return [], []
    lines = queries.lines_of(quote)
    offer = queries.offer_of(quote, parse(Shown, quote.shown), lines, valid_until=quote.valid_until or date.max)
    kept: dict[str, list[UUID]] = {"yes": [], "no": [], "": []}
    for change in changes_from(before, offer["lines"]):
        kept[change.answer] += [UUID(line["id"]) for line in change.question.lines]
    return kept["yes"], kept["no"]


def complaint_facts(job: Job) -> list[ComplaintFacts]:
    """The complaints of a job, oldest first."""
    complaints = Complaint.objects.filter(job=job).order_by("created_at", "id")
    return [ComplaintFacts(words=one.words, happens_when=one.happens_when) for one in complaints]


def _customer_facts(job: Job) -> CustomerFacts:
    customer = job.customer
    return CustomerFacts(
        person=customer.person,
        phone=customer.phone,
        email=customer.email,
        address=customer.address,
        exempt_reason=customer.exempt_reason,
    )


def machine_facts(job: Job) -> MachineFacts:
    """What a paper says of the machine of a job."""
    machine = job.machine
    return MachineFacts(
        year=machine.year,
        engine_make=machine.engine_make,
        engine_model=machine.engine_model,
        engine_serial=machine.engine_serial,
        tag=machine.tag,
    )


def _decision(approval: Approval) -> DecisionFacts:
    ink = approval.signature
    return DecisionFacts(
        how=cast("How", approval.how),
        name=approval.decided_by_name,
        at=approval.decided_at,
        zone=approval.zone,
        received_at=approval.received_at,
        digest=approval.digest,
        matches=approval.matches,
        accepted_ids=frozenset(approval.accepted_ids),
        declined_ids=frozenset(approval.declined_ids),
        accepted_total_minor=approval.accepted_total_minor,
        note=approval.note,
        accepted_labor_minor=approval.accepted_labor_minor,
        accepted_parts_minor=approval.accepted_parts_minor,
        number_called=approval.number_called,
        conditions=approval.conditions,
        taken_by="" if approval.member is None else approval.member.name,
        ink=None if ink is None else queries.signature_facts(ink),
    )
