"""State transitions of a quote. Diagrams and the phone's table (`pwa/src/domain/contract.ts`) are generated from it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal
from uuid import UUID

from typing_extensions import TypeAliasType

QuoteState = TypeAliasType("QuoteState", Literal["draft", "offered", "decided", "lapsed", "replaced", "withdrawn"])

QUOTE_TRANSITIONS: Mapping[QuoteState, tuple[QuoteState, ...]] = {
    "draft": ("offered", "withdrawn"),
    "offered": ("decided", "lapsed", "replaced", "withdrawn"),
    "decided": ("replaced",),
    # A decision made in time may arrive after the quote lapsed; it still counts.
    "lapsed": ("decided", "replaced", "withdrawn"),
    "replaced": (),
    "withdrawn": (),
}


def may_become(state: QuoteState, then: QuoteState) -> bool:
    """Whether a quote may change from `state` to `then`."""
    return then in QUOTE_TRANSITIONS[state]


@dataclass(frozen=True)
class Revision:
    """A quote by its place among its revisions."""

    id: UUID
    replaces_id: UUID | None
    state: QuoteState


def pending_revisions(quotes: Iterable[Revision]) -> set[UUID]:
    """The undecided revisions of decided quotes, which do not count until they are decided.

    Twin: `pendingRevisions` in `pwa/src/store/quotes.ts`.
    """
    by_id = {quote.id: quote for quote in quotes}
    pending = set()
    for quote in by_id.values():
        before = None if quote.replaces_id is None else by_id.get(quote.replaces_id)
        while quote.state != "decided" and before is not None:
            if before.state == "decided":
                pending.add(quote.id)
            before = None if before.replaces_id is None else by_id.get(before.replaces_id)
    return pending
