"""From the first line to the offer: drafts, their lines, revisions."""

from datetime import date, timedelta
from uuid import UUID

from shopapi.accounts.models import Shop
from shopapi.accounts.queries import shop_of, shops
from shopapi.accounts.rules import Permission, ShopFields
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.background import after_commit
from shopapi.core.clock import now
from shopapi.core.commands import command
from shopapi.core.edits import edit_row
from shopapi.core.errors import Conflict, DomainError, FieldError, Invalid, NotFound
from shopapi.core.numbering import next_number
from shopapi.core.rows import refuse_known_id
from shopapi.core.shape import Edit, Target, decode, plain
from shopapi.jobs.models import Job
from shopapi.jobs.queries import finding_for, job_for
from shopapi.jobs.rules import Waits
from shopapi.jobs.services import set_waits
from shopapi.quotes import queries
from shopapi.quotes.models import Line, Quote
from shopapi.quotes.rules import (
    PriceBook,
    QuoteLine,
    canonical,
    check_book,
    check_lines,
    digest,
    may_become,
    reckon,
)
from shopapi.quotes.rules.prices import part_price
from shopapi.quotes.rules.records import NewQuote, Offer, PutLine, QuoteFields, Shown
from shopapi.quotes.services.links import carry_links_over

FIRST_NUMBER = 301
LONGEST_VALIDITY = timedelta(days=400)


@command(needs=Permission.QUOTE)
def draft_quote(*, actor: Actor, data: NewQuote) -> Quote:
    """Begin a quote, or a revision of one."""
    refuse_known_id(Quote, data.id)
    job = job_for(actor, data.job_id)
    basis = data.basis
    if not actor.may(Permission.SEE_COST):
        # Whom costs are hidden from has sent a book without mark-ups: the shop's own stand for them.
        bands = decode(PriceBook, shop_of(actor).book).part_bands
        basis = basis.model_copy(update={"part_bands": bands})
    _check_basis(basis)
    before = _quote_to_replace(actor, data, job)
    quote = Quote.objects.create(
        id=data.id,
        shop_id=actor.shop_id,
        job=job,
        mark=data.mark,
        kind=data.kind,
        basis=plain(basis),
        note=data.note,
        replaces=before,
        revision=queries.last_revision(before) + 1 if before else 1,
        number=before.number if before else None,
    )
    record(actor, "quote drafted", ("quote", quote.id), kind=data.kind, revision=quote.revision)
    return quote


def _check_basis(basis: PriceBook) -> None:
    faults = check_book(basis)
    if not faults and len(basis.tax_profiles) != 1:
        words = "Keep the one tax profile that holds on the day of the quote."
        faults = [FieldError("tax_profiles", "one_profile", words)]
    if faults:
        fields = [FieldError(f"basis.{fault.field}", fault.code, fault.words) for fault in faults]
        raise Invalid("invalid", "The prices that this quote is based on need mending.", fields=fields)


def _quote_to_replace(actor: Actor, data: NewQuote, job: Job) -> Quote | None:
    if data.replaces_id is None:
        return None
    before = queries.quote_for(actor, data.replaces_id, field="replaces_id")
    if before.job_id != job.id or before.kind != data.kind:
        words = "A revision belongs to the same job and is of the same kind as the quote it replaces."
        raise Invalid("invalid", words, fields=[FieldError("replaces_id", "another_job", words)])
    if not may_become(queries.state_of(before), "replaced"):
        words = f"A quote that is {before.state} is not replaced by a revision."
        raise Conflict("not_replaceable", words, fields=[FieldError("replaces_id", "not_replaceable", words)])
    if before.replaced_by.exclude(state="withdrawn").exists():
        words = "There is a newer revision already; go on from that one."
        raise Conflict("not_newest", words, fields=[FieldError("replaces_id", "not_newest", words)])
    return before


@command(needs=Permission.QUOTE)
def edit_quote(*, actor: Actor, data: Edit) -> Quote:
    """Change a draft's note, discount or last day."""
    quote = _draft(actor, data.id, field="id")
    edit_row(actor=actor, kind="quote", row=quote, edit=data, fields=QuoteFields)
    return _with_totals(actor, quote)


def _draft(actor: Actor, quote_id: UUID, *, field: str) -> Quote:
    quote = queries.quote_for(actor, quote_id, field=field)
    if quote.state != "draft":
        words = "This quote has been offered; make a revision of it to change it."
        raise Conflict("not_a_draft", words, fields=[FieldError(field, "not_a_draft", words)])
    return quote


@command(needs=Permission.QUOTE)
def put_quote_line(*, actor: Actor, data: PutLine) -> Line:
    """Write one line of a draft, new or over the one with this id."""
    quote = _draft(actor, data.quote_id, field="quote_id")
    if data.finding_id is not None and finding_for(actor, data.finding_id).job_id != quote.job_id:
        words = "This finding belongs to another job."
        raise Invalid("invalid", words, fields=[FieldError("finding_id", "another_job", words)])
    known = Line.objects.filter(id=data.id).first()
    if known is not None and known.quote_id != quote.id:
        raise NotFound("quote line", data.id)
    figures = {name: getattr(data, name) for name in queries.FIGURES_OF_LINE if name != "id"}
    if known is not None and _costs_were_hidden(actor, known, data):
        figures |= {"unit_cost_minor": known.unit_cost_minor, "unit_price_minor": known.unit_price_minor}
    line = QuoteLine(id=data.id, **figures)
    basis = queries.basis_of(quote)
    faults = [fault for fault in check_lines(basis, [line]) if fault.field.startswith("lines.0")]
    if faults:
        fields = [
            FieldError(fault.field.removeprefix("lines.0").lstrip("."), fault.code, fault.words) for fault in faults
        ]
        raise Invalid("invalid", "This line needs mending.", fields=fields)
    asked = part_price(basis, line) if line.unit_cost_minor is not None else None
    row = known or Line(id=data.id, shop_id=actor.shop_id, quote=quote)
    for name, value in {**figures, "finding_id": data.finding_id, "asked_unit_minor": asked}.items():
        setattr(row, name, value)
    row.save(force_insert=known is None)
    record(actor, "quote line put", ("quote", quote.id), line=row.id, new=known is None)
    _with_totals(actor, quote)
    return row


def _costs_were_hidden(actor: Actor, known: Line, data: PutLine) -> bool:
    """Whether the line comes back from someone who saw only the price that its cost came to, and left it."""
    return (
        not actor.may(Permission.SEE_COST)
        and known.unit_cost_minor is not None
        and data.unit_price_minor == known.asked_unit_minor
    )


@command(needs=Permission.QUOTE)
def remove_quote_line(*, actor: Actor, data: Target) -> Line:
    """Take a line out of a draft."""
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
    """The draft with its totals reckoned anew, or without any while a line still lacks something."""
    lines, basis, discount = queries.lines_of(quote), queries.basis_of(quote), queries.discount_of(quote)
    totals = None
    if not check_lines(basis, lines, discount=discount):
        totals = plain(reckon(basis, lines, discount=discount, exempt=quote.job.customer.tax_exempt))
    if quote.totals != totals:
        quote.totals = totals
        quote.save(update_fields=["totals"])
    return quote


@command(needs=Permission.OFFER)
def offer_quote(*, actor: Actor, data: Offer) -> Quote:
    """Fix a quote as the owner was shown it; from here on it changes only by a revision."""
    quote = _draft(actor, data.id, field="id")
    lines, basis, discount = queries.lines_of(quote), queries.basis_of(quote), queries.discount_of(quote)
    faults = check_lines(basis, lines, discount=discount)
    if not lines:
        words = "Put at least one line on the quote before it is offered."
        faults = [FieldError("lines", "no_lines", words)]
    if faults:
        raise Invalid("invalid", "The quote needs mending before it is offered.", fields=faults)
    if data.valid_until > (now() + LONGEST_VALIDITY).date():
        words = f"A quote is held for at most {LONGEST_VALIDITY.days} days."
        raise Invalid("invalid", words, fields=[FieldError("valid_until", "too_far", words)])
    shown = data.shown or queries.shown_for(actor, quote.job)
    _check_shown(quote, data, shown, lines)

    quote.number = quote.number or f"Q-{next_number(actor.shop_id, 'quote', first=FIRST_NUMBER)}"
    quote.state = "offered"
    quote.offered_at = now()
    quote.valid_until = data.valid_until
    quote.offer_digest = data.digest
    quote.shown = plain(shown)
    quote.totals = plain(reckon(basis, lines, discount=discount, exempt=shown.exempt))
    quote.save()
    if quote.replaces is not None and may_become(queries.state_of(quote.replaces), "replaced"):
        # One that was withdrawn since the revision was begun stays so.
        quote.replaces.state = "replaced"
        quote.replaces.save(update_fields=["state"])
    if quote.replaces is not None:
        carry_links_over(actor, quote.replaces, quote)
    record(
        actor,
        "quote offered",
        ("quote", quote.id),
        number=quote.number,
        digest=data.digest,
        total=data.total_minor,
    )
    derive_waits(actor, quote.job)
    ask_for_paper(actor, quote)
    return quote


def _check_shown(quote: Quote, data: Offer, shown: Shown, lines: list[QuoteLine]) -> None:
    """Refuse an offer whose text or amounts differ from what this server makes of the same lines."""
    document = queries.offer_of(quote, shown, lines, valid_until=data.valid_until)
    if document["total_minor"] != data.total_minor or digest(canonical(document)) != data.digest:
        words = "What was shown is not what the quote says here; look at it again, then offer it."
        faults = [FieldError("digest", "shown_differs", words)]
        if document["total_minor"] != data.total_minor:
            faults.append(FieldError("total_minor", "shown_differs", f"The total here is {document['total_minor']}."))
        raise Conflict("shown_differs", words, fields=faults)


@command(needs=Permission.OFFER)
def withdraw_quote(*, actor: Actor, data: Target) -> Quote:
    """Take a quote back that nobody has decided."""
    quote = queries.quote_for(actor, data.id, field="id")
    if not may_become(queries.state_of(quote), "withdrawn"):
        words = f"A quote that is {quote.state} cannot be withdrawn."
        raise Conflict("not_withdrawable", words)
    quote.state = "withdrawn"
    quote.save(update_fields=["state"])
    record(actor, "quote withdrawn", ("quote", quote.id))
    derive_waits(actor, quote.job)
    return quote


def lapse_quotes(*, actor: Actor, today: date) -> int:
    """Let lapse what has passed its last day; the caller holds the transaction. Returns how many."""
    lapsing = queries.lapsing(actor.shop_id, today)
    for quote_id in lapsing:
        quote = queries.quote_for(actor, quote_id)
        quote.state = "lapsed"
        quote.save(update_fields=["state"])
        record(actor, "quote lapsed", ("quote", quote.id))
        derive_waits(actor, quote.job)
    return len(lapsing)


def derive_waits(actor: Actor, job: Job) -> None:
    """A job with a quote on offer waits on approval."""
    on_offer = Quote.objects.filter(shop=actor.shop_id, job=job, state="offered").exists()
    set_waits(actor=actor, job=job, waits_on=[Waits.APPROVAL] if on_offer else [])


def ask_for_paper(actor: Actor, quote: Quote) -> None:
    """Promise the PDF of a quote as it stands after this transaction."""
    quote.paper_state, quote.paper_reason = "waiting", None
    quote.save(update_fields=["paper_state", "paper_reason"])
    after_commit("quotes.make_paper", shop_id=actor.shop_id, quote_id=quote.id)


@command(needs=Permission.OFFER)
def remake_paper(*, actor: Actor, data: Target) -> Quote:
    """Have the PDF of a quote made again."""
    quote = queries.quote_for(actor, data.id, field="id")
    if quote.number is None or quote.state == "draft":
        words = "Paper is made of a quote once it has been offered."
        raise Conflict("not_offered", words)
    ask_for_paper(actor, quote)
    return quote


@command(needs=Permission.EDIT_SHOP)
def edit_shop(*, actor: Actor, data: Edit) -> Shop:
    """Change what the shop is called and what it charges."""
    shop = shops(actor).select_for_update().filter(id=data.id).first()
    if shop is None:
        raise NotFound("shop", data.id)
    if "book" in data.set:
        _check_new_book(shop, data.set["book"])
    return edit_row(actor=actor, kind="shop", row=shop, edit=data, fields=ShopFields)


def _check_new_book(shop: Shop, book: object) -> None:
    try:
        parsed = decode(PriceBook, book)
    except DomainError as error:
        fields = [FieldError(f"set.book.{f.field}", f.code, f.words) for f in error.fields]
        raise Invalid("invalid", "The price book needs mending.", fields=fields) from None
    faults = check_book(parsed)
    if not faults and parsed.currency != shop.currency:
        words = "The shop's currency does not change; its quotes are written in it."
        faults = [FieldError("currency", "currency_foreign", words)]
    if faults:
        fields = [FieldError(f"set.book.{f.field}", f.code, f.words) for f in faults]
        raise Invalid("invalid", "The price book needs mending.", fields=fields)
