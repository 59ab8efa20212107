"""The life of a quote, as data. Diagrams come from this table.

The phone reads it from the contract that is generated from here (`pwa/src/domain/contract.ts`).
"""

from collections.abc import Mapping
from typing import Literal

from typing_extensions import TypeAliasType

QuoteState = TypeAliasType("QuoteState", Literal["draft", "offered", "decided", "lapsed", "replaced", "withdrawn"])

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
