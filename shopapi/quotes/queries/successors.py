"""Which line replaced a line of a replaced quote, with a fixed number of queries for any number of jobs."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any
from uuid import UUID

from shopapi.core.actor import Actor
from shopapi.core.schema import parse
from shopapi.quotes import queries
from shopapi.quotes.models import Approval, Line, Quote
from shopapi.quotes.rules import QuoteLine
from shopapi.quotes.rules.changes import OfferedRevision, successors_of
from shopapi.quotes.rules.offer import offer_lines
from shopapi.quotes.rules.schemas import Shown


def successors_on(actor: Actor, job_ids: Collection[UUID]) -> dict[UUID, UUID]:
    """By id of a line of a replaced quote on these jobs: the line of the quote that counts now.

    Twin: `successorsOn` in `pwa/src/store/successors.ts`.
    """
    if not job_ids:
        return {}
    quotes = {quote.id: quote for quote in queries.quotes(actor).filter(job__in=job_ids).order_by("offered_at", "id")}
    chains = [chain for chain in _chains(quotes) if len(chain) > 1]
    if not chains:
        return {}
    ids = {quote.id for chain in chains for quote in chain}
    lines = _lines(actor, ids)
    signed = set(
        Approval.objects.filter(shop=actor.shop_id, quote__in=ids, matches=True).values_list("quote", flat=True)
    )
    found: dict[UUID, UUID] = {}
    for chain in chains:
        revisions = [OfferedRevision(_offered(quote, lines.get(quote.id, [])), quote.id in signed) for quote in chain]
        found |= {UUID(line): UUID(successor) for line, successor in successors_of(revisions).items()}
    return found


def _chains(quotes: Mapping[UUID, Quote]) -> Iterable[list[Quote]]:
    """Each quote that counts, after the offered ones that it replaced, oldest first."""
    pending = queries.pending_among(quotes.values())
    for last in quotes.values():
        if last.state not in ("offered", "decided") or last.id in pending:
            continue
        chain = [last]
        before = quotes.get(last.replaces_id) if last.replaces_id else None
        while before is not None:
            if before.offered_at is not None:
                chain.insert(0, before)
            before = quotes.get(before.replaces_id) if before.replaces_id else None
        yield chain


def _lines(actor: Actor, quote_ids: Collection[UUID]) -> Mapping[UUID, list[QuoteLine]]:
    found: dict[UUID, list[QuoteLine]] = {}
    for row in Line.objects.filter(shop=actor.shop_id, quote__in=quote_ids).order_by("position", "id"):
        found.setdefault(row.quote_id, []).append(queries.rule_line(row))
    return found


def _offered(quote: Quote, lines: Sequence[QuoteLine]) -> list[dict[str, Any]]:
    exempt = parse(Shown, quote.shown).exempt
    return offer_lines(queries.basis_of(quote), lines, discount=queries.discount_of(quote), exempt=exempt)
