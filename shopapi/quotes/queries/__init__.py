"""Reads of quotes: rows for devices, and plain data for the rules."""

from collections.abc import Collection, Iterable, Sequence
from datetime import date
from typing import Any, cast
from uuid import UUID

from django.db.models import Max, QuerySet

from shopapi.accounts.models import Shop
from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.models import Outbox
from shopapi.core.rendering import show_stored
from shopapi.core.rows import row_among
from shopapi.core.schema import parse, seen_with, to_json
from shopapi.jobs.models import Job
from shopapi.machines.rules import machine_text
from shopapi.quotes.models import Line, PriceBook, Quote, Signature
from shopapi.quotes.rules import (
    Discount,
    QuoteLine,
    QuoteState,
    QuoteTotals,
    ShopPrices,
    compute_totals,
    later_total,
    offer_document,
)
from shopapi.quotes.rules.confirmed import PricePart
from shopapi.quotes.rules.lines import is_asked, question_of
from shopapi.quotes.rules.pdf import SignatureFacts
from shopapi.quotes.rules.schemas import (
    PdfState,
    PriceBookRow,
    QuoteKind,
    QuoteLineRow,
    QuotePdf,
    QuoteRow,
    Shown,
)
from shopapi.quotes.rules.starting_prices import starting_prices
from shopapi.quotes.rules.states import Revision, pending_revisions

FIGURES_OF_LINE = tuple(QuoteLine.model_fields)


def quotes(actor: Actor) -> QuerySet[Quote]:
    return Quote.objects.filter(shop=actor.shop_id).select_related("pdf")


def lines(actor: Actor) -> QuerySet[Line]:
    return Line.objects.filter(shop=actor.shop_id)


def prices_of_shop(actor: Actor) -> ShopPrices:
    """The shop's price book, or the starting prices where it has none yet."""
    stored = PriceBook.objects.filter(shop=actor.shop_id).values_list("prices", flat=True).first()
    return parse(ShopPrices, stored or starting_prices(shop_of(actor).currency))


def confirmed_prices(actor: Actor) -> list[str]:
    """The parts of the shop's price book that a person has confirmed."""
    stored = PriceBook.objects.filter(shop=actor.shop_id).values_list("confirmed", flat=True).first()
    return list(stored or ())


def show_price_book(actor: Actor, book: PriceBook) -> PriceBookRow:
    """A price book for devices; without mark-ups where costs are hidden."""
    times = {"created_at": book.created_at, "changed_at": book.changed_at}
    seen = seen_with(actor.permissions, to_json(parse(ShopPrices, book.prices)))
    confirmed = cast("tuple[PricePart, ...]", tuple(book.confirmed))
    return PriceBookRow(id=book.id, **times, prices=parse(ShopPrices, seen), confirmed=confirmed)


def pending_revisions_on(job_ids: Collection[UUID]) -> set[UUID]:
    """The quotes on these jobs that count for nothing yet, because the decided ones they revise stand."""
    return pending_among(Quote.objects.filter(job__in=job_ids).only("id", "replaces_id", "state"))


def pending_among(rows: Iterable[Quote]) -> set[UUID]:
    """The same among rows that hold all revisions."""
    return pending_revisions(Revision(row.id, row.replaces_id, state_of(row)) for row in rows)


def quote_for(actor: Actor, quote_id: UUID, *, field: str = "quote_id") -> Quote:
    """A quote of the shop with its job and customer, locked. Raises NotFound."""
    return row_among(Quote.objects.filter(shop=actor.shop_id).select_related("job__customer"), quote_id, field=field)


def last_revision(quote: Quote) -> int:
    """The highest revision of this quote's number, including withdrawn ones."""
    revisions = Quote.objects.filter(shop=quote.shop_id, number=quote.number)
    return int(revisions.aggregate(last=Max("revision"))["last"])


def lines_of(quote: Quote) -> list[QuoteLine]:
    """The lines of a quote as rule objects, in order."""
    rows = Line.objects.filter(shop=quote.shop_id, quote=quote.id).order_by("position", "id")
    return [rule_line(row) for row in rows]


def rule_line(row: Line) -> QuoteLine:
    return QuoteLine(**{name: getattr(row, name) for name in FIGURES_OF_LINE})


def state_of(quote: Quote) -> QuoteState:
    return cast("QuoteState", quote.state)


def kind_of(quote: Quote) -> QuoteKind:
    return "added" if quote.kind == "added" else "first"


def basis_of(quote: Quote) -> ShopPrices:
    return parse(ShopPrices, quote.basis)


def discount_of(quote: Quote) -> Discount:
    return parse(Discount, quote.discount)


def offer_of(quote: Quote, shown: Shown, lines: list[QuoteLine], *, valid_until: date) -> dict[str, Any]:
    """The offer document of a quote with the names it is shown with."""
    return offer_document(
        quote_id=quote.id,
        revision=quote.revision,
        kind=kind_of(quote),
        shop_name=shown.shop,
        customer_name=shown.customer,
        machine=shown.machine,
        book=basis_of(quote),
        lines=lines,
        discount=discount_of(quote),
        exempt=shown.exempt,
        valid_until=valid_until,
        language=shown.language,
    )


def totals_as_decided(quote: Quote, lines: list[QuoteLine], accepted_ids: Collection[UUID]) -> QuoteTotals:
    """The totals of an offered quote over the lines that were accepted; what is not asked counts."""
    exempt = parse(Shown, quote.shown).exempt
    counted = _counted(lines, accepted_ids)
    return compute_totals(basis_of(quote), lines, accepted=counted, discount=discount_of(quote), exempt=exempt)


def later_as_decided(quote: Quote, lines: list[QuoteLine], accepted_ids: Collection[UUID]) -> int | None:
    """The total of the same lines if they are done later; None where no line has a later price."""
    exempt = parse(Shown, quote.shown).exempt
    counted = _counted(lines, accepted_ids)
    return later_total(basis_of(quote), lines, accepted=counted, discount=discount_of(quote), exempt=exempt)


def _counted(lines: list[QuoteLine], accepted_ids: Collection[UUID]) -> set[UUID]:
    """Discounts and agreed costs are not asked: they count."""
    return {*accepted_ids, *(line.id for line in lines if not is_asked(line))}


def questions_on(lines: Sequence[QuoteLine]) -> frozenset[frozenset[UUID]]:
    """The ids of the lines of each question."""
    found: dict[UUID, set[UUID]] = {}
    for line in filter(is_asked, lines):
        found.setdefault(question_of(line), set()).add(line.id)
    return frozenset(map(frozenset, found.values()))


def whole_questions(lines: Sequence[QuoteLine], ids: Collection[UUID]) -> list[UUID]:
    """All lines of the questions that any of these lines is part of; other ids as they are."""
    of = {line: question for question in questions_on(lines) for line in question}
    return list(dict.fromkeys(line for one in ids for line in of.get(one, [one])))


def shown_for(actor: Actor, job: Job) -> Shown:
    """The names that an offer made now in English would show."""
    machine = job.machine
    return Shown(
        shop=Shop.objects.get(id=actor.shop_id).name,
        customer=job.customer.name,
        machine=machine_text(kind=machine.kind, make=machine.make, model=machine.model, serial=machine.serial),
        exempt=job.customer.tax_exempt,
    )


def signature_facts(ink: Signature) -> SignatureFacts:
    """A signature as PDFs draw it."""
    return SignatureFacts(strokes=ink.strokes, width=ink.width, height=ink.height, signer_name=ink.signer_name)


def show_quote(actor: Actor, quote: Quote) -> QuoteRow:
    ready = quote.pdf_state == "ready" and quote.pdf is not None
    return QuoteRow(
        id=quote.id,
        created_at=quote.created_at,
        changed_at=quote.changed_at,
        job_id=quote.job_id,
        number=quote.number,
        mark=quote.mark,
        kind=kind_of(quote),
        revision=quote.revision,
        replaces_id=quote.replaces_id,
        state=state_of(quote),
        basis=basis_of(quote),
        discount=discount_of(quote),
        note=quote.note,
        valid_until=quote.valid_until,
        offered_at=quote.offered_at,
        offer_digest=quote.offer_digest,
        shown=None if quote.shown is None else parse(Shown, quote.shown),
        totals=None if quote.totals is None else parse(QuoteTotals, quote.totals),
        pdf=QuotePdf(
            state=cast("PdfState", quote.pdf_state),
            reason=show_stored(quote.pdf_reason or "") or None,
            url=f"/api/v1/quotes/{quote.id}/pdf" if ready else None,
            bytes=quote.pdf.size if ready else None,
        ),
    )


def show_line(actor: Actor, line: Line) -> QuoteLineRow:
    """A line for devices; where costs are hidden, with the price computed from the cost."""
    row = QuoteLineRow.of(line)
    if actor.may(Permission.SEE_COST) or line.unit_cost_minor is None:
        return row
    return row.model_copy(update={"unit_price_minor": line.asked_unit_minor})


def quotes_awaiting_pdf(actor: Actor) -> QuerySet[Quote]:
    """Quotes whose PDF is not made yet."""
    return Quote.objects.filter(shop=actor.shop_id, pdf_state="waiting")


def quotes_with_lost_pdf(actor: Actor) -> list[UUID]:
    """Quotes that wait for a PDF whose outbox entry has failed."""
    entries = Outbox.objects.filter(shop_id=actor.shop_id, task="quotes.make_pdf", done_at=None)
    failed = set(entries.exclude(failed_at=None).values_list("args__quote_id", flat=True))
    pending = set(entries.filter(failed_at=None).values_list("args__quote_id", flat=True))
    waiting = quotes_awaiting_pdf(actor).filter(id__in=failed - pending)
    return list(waiting.order_by("id").values_list("id", flat=True))


def lapsing(shop_id: UUID, today: date) -> Sequence[UUID]:
    """Offered quotes whose last day is over."""
    return list(
        Quote.objects.filter(shop=shop_id, state="offered", valid_until__lt=today)
        .order_by("id")
        .values_list("id", flat=True)
    )
