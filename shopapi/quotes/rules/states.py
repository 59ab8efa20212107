"""The life of a quote, as data. Diagrams and both twins come from this table.

Twin: `pwa/src/domain/quote_states.ts`.
"""

from collections.abc import Mapping
from typing import Literal

QuoteState = Literal["draft", "offered", "decided", "lapsed", "replaced", "withdrawn"]

QUOTE_TRANSITIONS: Mapping[QuoteState, tuple[QuoteState, ...]] = {
    "draft": ("offered", "withdrawn"),
    "offered": ("decided", "lapsed", "replaced", "withdrawn"),
    "decided": ("replaced",),
    # A yes given in time may arrive late: it has happened, so it is kept.
    "lapsed": ("decided", "replaced", "withdrawn"),
    "replaced": (),
    "withdrawn": (),
}


def may_become(state: QuoteState, then: QuoteState) -> bool:
    """Whether a quote in `state` may go over to `then`."""
    return then in QUOTE_TRANSITIONS[state]
