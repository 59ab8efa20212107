"""The exact text of an offer: of one that could be made now, or of one that was made."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from pydantic import Field

from shopapi.accounts.queries import shop_of
from shopapi.core.actor import Actor
from shopapi.core.errors import FieldError, Invalid
from shopapi.core.languages import ENGLISH, Language
from shopapi.core.parameters import Parameters
from shopapi.core.schema import parse
from shopapi.quotes import queries
from shopapi.quotes.models import Quote
from shopapi.quotes.rules import check_lines
from shopapi.quotes.rules.canonical_json import canonical_json, json_digest
from shopapi.quotes.rules.offer import digested_form
from shopapi.quotes.rules.schemas import OfferDocument, Shown


class OfferAsked(Parameters):
    """What an offer would say: its last day and the language of the texts that are not the shop's own."""

    valid_until: date | None = Field(
        None, description="The last day of the offer; by default as many days from today as the shop's prices say."
    )
    language: Language = Field(ENGLISH, description="The language of the texts that are not the shop's own.")


def offer_to_confirm(actor: Actor, quote: Quote, asked: OfferAsked, *, at: datetime) -> OfferDocument:
    """What is to be confirmed when a draft is offered at this instant; of an offered quote what was offered.

    Raises Invalid where a line of the draft is incomplete, as offering it would.
    """
    lines, basis, discount = queries.lines_of(quote), queries.basis_of(quote), queries.discount_of(quote)
    if quote.offer_digest is None:
        faults = check_lines(basis, lines, discount=discount) if lines else [FieldError("lines", "no_lines")]
        if faults:
            raise Invalid("invalid", message="quote_invalid", fields=faults)
        shown = _shown_now(actor, quote, asked.language)
        today = at.astimezone(ZoneInfo(shop_of(actor).zone)).date()
        last = asked.valid_until or quote.valid_until or today + timedelta(days=basis.valid_days)
        document = queries.offer_of(quote, shown, lines, valid_until=last)
        digest = json_digest(document)
    else:
        shown, digest = parse(Shown, quote.shown), quote.offer_digest
        last = quote.valid_until or at.date()
        document = digested_form(queries.offer_of(quote, shown, lines, valid_until=last), digest)
    return OfferDocument(
        quote_id=quote.id,
        document=document,
        canonical=canonical_json(document).decode(),
        digest=digest,
        valid_until=last,
        total_minor=document["total_minor"],
        shown=shown,
    )


def _shown_now(actor: Actor, quote: Quote, language: Language) -> Shown:
    return queries.shown_for(actor, quote.job).model_copy(update={"language": language})
