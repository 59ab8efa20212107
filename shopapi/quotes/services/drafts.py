"""Drafts, their lines, offers, revisions and quote numbers."""

from collections.abc import Collection
from dataclasses import replace
from datetime import date, timedelta
from uuid import UUID

from django.db.models import QuerySet

from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.background import after_commit
from shopapi.core.clock import now, today
from shopapi.core.commands import command
from shopapi.core.edits import edit_row
from shopapi.core.errors import Conflict, FieldError, Invalid, NotFound
from shopapi.core.numbering import Series, called_before, report_taken_number
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.core.schema import Edit, Target, parse, to_json
from shopapi.jobs.models import Finding, Job
from shopapi.jobs.rules import Numbered, Waits
from shopapi.jobs.services import set_wait
from shopapi.notices.rules.templates import ASKING
from shopapi.notices.services.notices import withhold_unsent
from shopapi.quotes import queries
from shopapi.quotes.models import Line, Quote
from shopapi.quotes.rules import (
    QuoteLine,
    ShopPrices,
    check_book,
    check_lines,
    compute_totals,
    is_digest_of_offer,
    may_become,
    profile_on,
)
from shopapi.quotes.rules.confirmed import following, unconfirmed
from shopapi.quotes.rules.prices import part_price
from shopapi.quotes.rules.schemas import NewQuote, Offer, PutLine, QuoteFields, Shown, TaxChoice
from shopapi.quotes.services.links import move_links

ADDED_FIGURES = ("belongs_to_id", "apart", "agreed", "part_number")
NUMBERS = Series("quote", "Q", first=301)
LONGEST_VALIDITY = timedelta(days=400)
LONGEST_WITHOUT_SIGNAL = timedelta(days=31)
"""An offer with an older day than this is checked by today, since the phone's clock is probably wrong."""


@command(needs=Permission.QUOTE, creates_row=True)
def draft_quote(*, actor: Actor, data: NewQuote) -> Quote:
    """Create a draft of a quote, or of a revision."""
    refuse_known_id(Quote, data.id)
    job = row_for(Job, actor, data.job_id, field="job_id")
    basis = data.basis
    if not actor.may(Permission.SEE_COST):
        # Members who may not see costs have a book without mark-ups, so those of the shop's book are used.
        basis = basis.model_copy(update={"part_bands": queries.prices_of_shop(actor).part_bands})
    _check_basis(basis)
    before = _quote_to_replace(actor, data, job)
    quote = Quote.objects.create(
        id=data.id,
        shop_id=actor.shop_id,
        job=job,
        mark=data.mark,
        kind=data.kind,
        basis=to_json(basis),
        note=data.note,
        replaces=before,
        revision=queries.last_revision(before) + 1 if before else 1,
        number=before.number if before else None,
    )
    record(actor, "quote drafted", ("quote", quote.id), kind=data.kind, revision=quote.revision)
    return quote


def _check_basis(basis: ShopPrices) -> None:
    faults = check_book(basis)
    if not faults and len(basis.tax_profiles) != 1:
        faults = [FieldError("tax_profiles", "one_profile")]
    if faults:
        fields = [replace(fault, field=f"basis.{fault.field}") for fault in faults]
        raise Invalid("invalid", message="basis_invalid", fields=fields)


def _quote_to_replace(actor: Actor, data: NewQuote, job: Job) -> Quote | None:
    if data.replaces_id is None:
        return None
    before = queries.quote_for(actor, data.replaces_id, field="replaces_id")
    if before.job_id != job.id or before.kind != data.kind:
        raise Invalid("invalid", fields=[FieldError("replaces_id", "another_job", message="replaces_another_job")])
    if not may_become(queries.state_of(before), "replaced"):
        raise Conflict(
            "not_replaceable",
            fields=[FieldError("replaces_id", "not_replaceable", context={"state": before.state})],
            context={"state": before.state},
        )
    if before.replaced_by.exclude(state="withdrawn").exists():
        raise Conflict("not_newest", fields=[FieldError("replaces_id", "not_newest")])
    return before


@command(needs=Permission.QUOTE)
def edit_quote(*, actor: Actor, data: Edit[QuoteFields]) -> Quote:
    """Edit a draft's note, discount or last day."""
    quote = _draft(actor, data.id, field="id")
    edit_row(actor=actor, kind="quote", row=quote, edit=data)
    return _with_totals(actor, quote)


def _draft(actor: Actor, quote_id: UUID, *, field: str) -> Quote:
    quote = queries.quote_for(actor, quote_id, field=field)
    if quote.state != "draft":
        raise Conflict("not_a_draft", fields=[FieldError(field, "not_a_draft")])
    return quote


@command(needs=Permission.QUOTE)
def choose_tax_profile(*, actor: Actor, data: TaxChoice) -> Quote:
    """Change a draft's tax profile, such as to the one in force today; its prices do not change."""
    quote = _draft(actor, data.id, field="id")
    basis = queries.basis_of(quote).model_copy(update={"tax_profiles": (data.tax_profile,)})
    faults = check_book(basis)
    if faults:
        fields = [replace(f, field=f.field.replace("tax_profiles.0", "tax_profile")) for f in faults]
        raise Invalid("invalid", message="tax_profile_invalid", fields=fields)
    quote.basis = to_json(basis)
    quote.save(update_fields=["basis"])
    record(actor, "quote tax chosen", ("quote", quote.id), tax_profile=data.tax_profile.key)
    return _with_totals(actor, quote)


def let_drafts_follow(actor: Actor, book: ShopPrices, parts: Collection[str]) -> None:
    """Give the shop's drafts the parts of its prices that nobody had confirmed when they were begun."""
    if not parts:
        return
    on = today(shop_of(actor).zone)
    for quote_id in Quote.objects.filter(shop=actor.shop_id, state="draft").order_by("id").values_list("id", flat=True):
        quote = queries.quote_for(actor, quote_id)
        basis = following(queries.basis_of(quote), book, parts, on)
        if basis == queries.basis_of(quote):
            continue
        quote.basis = to_json(basis)
        quote.save(update_fields=["basis"])
        for row in Line.objects.filter(shop=actor.shop_id, quote=quote).exclude(unit_cost_minor=None):
            line = QuoteLine(**{name: getattr(row, name) for name in queries.FIGURES_OF_LINE})
            row.asked_unit_minor = part_price(basis, line)
            row.save(update_fields=["asked_unit_minor"])
        record(actor, "quote follows prices", ("quote", quote.id), parts=list(parts))
        _with_totals(actor, quote)


@command(needs=Permission.QUOTE, creates_row=True)
def put_quote_line(*, actor: Actor, data: PutLine) -> Line:
    """Create or replace one line of a draft."""
    quote = _draft(actor, data.quote_id, field="quote_id")
    finding = None if data.finding_id is None else row_for(Finding, actor, data.finding_id, field="finding_id")
    if finding is not None and finding.job_id != quote.job_id:
        raise Invalid("invalid", fields=[FieldError("finding_id", "another_job", message="finding_of_another_job")])
    known = Line.objects.filter(id=data.id).first()
    if known is not None and known.quote_id != quote.id:
        raise NotFound("quote line", data.id)
    figures = {name: getattr(data, name) for name in queries.FIGURES_OF_LINE if name != "id"}
    if known is not None:
        # An app from before these figures leaves them out; the others it leaves out are taken off the line.
        figures |= {name: getattr(known, name) for name in ADDED_FIGURES if name not in data.model_fields_set}
    if known is not None and _costs_were_hidden(actor, known, data):
        figures |= {"unit_cost_minor": known.unit_cost_minor, "unit_price_minor": known.unit_price_minor}
    line = QuoteLine(id=data.id, **figures)
    basis = queries.basis_of(quote)
    faults = [fault for fault in check_lines(basis, [line]) if fault.field.startswith("lines.0")]
    if faults:
        fields = [replace(fault, field=fault.field.removeprefix("lines.0").lstrip(".")) for fault in faults]
        raise Invalid("invalid", message="line_invalid", fields=fields)
    asked = part_price(basis, line) if line.unit_cost_minor is not None else None
    row = known or Line(id=data.id, shop_id=actor.shop_id, quote=quote)
    for name, value in {**figures, "finding_id": data.finding_id, "asked_unit_minor": asked}.items():
        setattr(row, name, value)
    row.save(force_insert=known is None)
    record(actor, "quote line put", ("quote", quote.id), line=row.id, new=known is None)
    _with_totals(actor, quote)
    return row


def _costs_were_hidden(actor: Actor, known: Line, data: PutLine) -> bool:
    """Whether the line is from a member who saw only the price computed from its cost, and did not change it."""
    return (
        not actor.may(Permission.SEE_COST)
        and known.unit_cost_minor is not None
        and data.unit_price_minor == known.asked_unit_minor
    )


@command(needs=Permission.QUOTE, deletes_row=True)
def remove_quote_line(*, actor: Actor, data: Target) -> Line:
    """Delete a line of a draft."""
    line = queries.lines(actor).filter(id=data.id).first()
    if line is None:
        raise NotFound("quote line", data.id)
    quote = _draft(actor, line.quote_id, field="id")
    line.delete()
    line.id = data.id
    record(actor, "quote line removed", ("quote", quote.id), line=data.id, words=line.words)
    _with_totals(actor, quote)
    return line


def _with_totals(actor: Actor, quote: Quote) -> Quote:
    """The draft with recomputed totals, or without totals while a line is incomplete."""
    lines, basis, discount = queries.lines_of(quote), queries.basis_of(quote), queries.discount_of(quote)
    totals = None
    if not check_lines(basis, lines, discount=discount):
        totals = to_json(compute_totals(basis, lines, discount=discount, exempt=quote.job.customer.tax_exempt))
    if quote.totals != totals:
        quote.totals = totals
        quote.save(update_fields=["totals"])
    return quote


@command(needs=Permission.OFFER)
def offer_quote(*, actor: Actor, data: Offer) -> Quote:
    """Offer a quote as it was shown to the customer; from then on it changes only by a revision."""
    quote = _draft(actor, data.id, field="id")
    lines, basis, discount = queries.lines_of(quote), queries.basis_of(quote), queries.discount_of(quote)
    faults = check_lines(basis, lines, discount=discount)
    if not lines:
        faults = [FieldError("lines", "no_lines")]
    if faults:
        raise Invalid("invalid", message="quote_invalid", fields=faults)
    if data.valid_until > (now() + LONGEST_VALIDITY).date():
        raise Invalid("invalid", fields=[FieldError("valid_until", "too_far", context={"days": LONGEST_VALIDITY.days})])
    if unseen := unconfirmed(queries.confirmed_prices(actor)):
        raise Conflict("prices_unconfirmed", fields=unseen)
    _check_tax_in_force(actor, basis, data.offered_on)
    # An offer without names is in English: the apps that made such ones knew no other language.
    shown = data.shown or queries.shown_for(actor, quote.job)
    _check_shown(quote, data, shown, lines)

    if quote.number is None:
        quote.number = NUMBERS.take(actor, is_taken=lambda wanted: _numbered(actor, wanted).exists())
        if actor.number not in ("", quote.number):
            quote.mark = called_before(quote.mark, actor.number)
            report_taken_number(actor, "quote", quote.id, quote.number)
    quote.state = "offered"
    quote.offered_at = now()
    quote.valid_until = data.valid_until
    quote.offer_digest = data.digest
    quote.shown = to_json(shown)
    quote.totals = to_json(compute_totals(basis, lines, discount=discount, exempt=shown.exempt))
    quote.save()
    if quote.replaces is not None and quote.replaces.state in ("offered", "lapsed"):
        # A decided quote stays decided until its revision is decided; a withdrawn one stays withdrawn.
        quote.replaces.state = "replaced"
        quote.replaces.save(update_fields=["state"])
    if quote.replaces is not None:
        move_links(actor, quote.replaces, quote)
    record(
        actor,
        "quote offered",
        ("quote", quote.id),
        number=quote.number,
        digest=data.digest,
        total=data.total_minor,
    )
    derive_waits(actor, quote.job)
    request_pdf(actor, quote)
    return quote


def _check_tax_in_force(actor: Actor, basis: ShopPrices, offered_on: date | None) -> None:
    """Raise a refusal if the offer's tax profile is not the one in force on the day it was shown."""
    on = today(shop_of(actor).zone)
    if offered_on is not None and on - LONGEST_WITHOUT_SIGNAL <= offered_on < on:
        on = offered_on
    (profile,) = basis.tax_profiles
    current = profile_on(queries.prices_of_shop(actor).tax_profiles, on)
    if current is not None and current.key == profile.key:
        return
    if current is None:
        fault = FieldError("tax_profile", "tax_profile_ended", context={"label": profile.label, "day": on.isoformat()})
    else:
        context = {"label": profile.label, "day": on.isoformat(), "current": current.label}
        fault = FieldError("tax_profile", "tax_profile_ended", message="tax_profile_replaced", context=context)
    raise Invalid("tax_profile_ended", reason=fault.reason, fields=[fault])


def _numbered(actor: Actor, number: str) -> QuerySet[Quote]:
    return Quote.objects.filter(shop=actor.shop_id, number=number)


@command(needs=Permission.SETTLE_ISSUES, on_rest=False)
def number_quote(*, actor: Actor, data: Edit[Numbered]) -> Quote:
    """Give a quote and its revisions the number shown on its PDFs; the quote that has it now gets the next free number.

    Raises Invalid for a number that no quote has.
    """
    quote = queries.quote_for(actor, data.id, field="id")
    wanted = parse(Numbered, data.set).number
    others = list(_numbered(actor, wanted).select_for_update())
    if not others:
        raise Invalid("invalid", fields=[FieldError("number", "not_given", message="quote_number_not_given")])
    if quote.number != wanted:
        own = list(_numbered(actor, quote.number or "").select_for_update()) or [quote]
        fresh = NUMBERS.next(actor.shop_id)
        for each, number in [*((one, fresh) for one in others), *((one, wanted) for one in own)]:
            before, each.number = each.number, number
            each.mark = called_before(each.mark, before or "")
            each.save(update_fields=["number", "mark"])
            record(actor, "quote numbered", ("quote", each.id), before=before, after=number)
            if each.state != "draft":
                request_pdf(actor, each)
        quote.refresh_from_db()
    return quote


def _check_shown(quote: Quote, data: Offer, shown: Shown, lines: list[QuoteLine]) -> None:
    """Raise a refusal if the offer's text or amounts differ from those computed here from the same lines."""
    document = queries.offer_of(quote, shown, lines, valid_until=data.valid_until)
    if document["total_minor"] != data.total_minor or not is_digest_of_offer(document, data.digest):
        faults = [FieldError("digest", "shown_differs")]
        if document["total_minor"] != data.total_minor:
            context = {"total": document["total_minor"]}
            faults.append(FieldError("total_minor", "shown_differs", message="total_differs", context=context))
        raise Conflict("shown_differs", fields=faults)


@command(needs=Permission.OFFER)
def withdraw_quote(*, actor: Actor, data: Target) -> Quote:
    """Withdraw an undecided quote."""
    quote = queries.quote_for(actor, data.id, field="id")
    if not may_become(queries.state_of(quote), "withdrawn"):
        raise Conflict("not_withdrawable", context={"state": quote.state})
    quote.state = "withdrawn"
    quote.save(update_fields=["state"])
    record(actor, "quote withdrawn", ("quote", quote.id))
    withhold_unsent(actor=actor, about=("quote", quote.id), templates=ASKING)
    derive_waits(actor, quote.job)
    return quote


def lapse_quotes(*, actor: Actor, today: date) -> int:
    """Mark offered quotes whose last day is over as lapsed. The caller holds the transaction. Returns how many."""
    lapsing = queries.lapsing(actor.shop_id, today)
    for quote_id in lapsing:
        quote = queries.quote_for(actor, quote_id)
        quote.state = "lapsed"
        quote.save(update_fields=["state"])
        record(actor, "quote lapsed", ("quote", quote.id))
        derive_waits(actor, quote.job)
    return len(lapsing)


def derive_waits(actor: Actor, job: Job) -> None:
    """Update whether a job waits for an approval: it does while a quote is on offer."""
    on_offer = Quote.objects.filter(shop=actor.shop_id, job=job, state="offered").exists()
    set_wait(actor=actor, job=job, wait=Waits.APPROVAL, waiting=on_offer)


def request_pdf(actor: Actor, quote: Quote) -> None:
    """Add the outbox entry for the PDF of a quote in its state after this transaction."""
    quote.pdf_state, quote.pdf_reason = "waiting", None
    quote.save(update_fields=["pdf_state", "pdf_reason"])
    after_commit("quotes.make_pdf", shop_id=actor.shop_id, quote_id=quote.id)


@command(needs=Permission.OFFER, former_names=("remake_paper",))
def remake_pdf(*, actor: Actor, data: Target) -> Quote:
    """Request a new PDF of a quote."""
    quote = queries.quote_for(actor, data.id, field="id")
    if quote.number is None or quote.state == "draft":
        raise Conflict("not_offered")
    request_pdf(actor, quote)
    record(actor, "PDF asked for", ("quote", quote.id))
    return quote
