"""Whether a decision matches what is on offer."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from typing import Literal
from uuid import UUID

from shopapi.quotes.rules.states import QuoteState, may_become

DecisionAnomaly = Literal["shown_differs", "not_on_offer", "too_late", "lines_differ"]


@dataclass(frozen=True)
class OnOffer:
    """The offer at the time a decision arrives. `lines`: the ids of all lines that are decided one by one."""

    state: QuoteState
    digest: str | None
    valid_until: date | None
    lines: frozenset[UUID]


def anomaly_in(
    offer: OnOffer, *, digest: str, decided_on: date, accepted: Collection[UUID], declined: Collection[UUID]
) -> DecisionAnomaly | None:
    """Why a decision cannot take effect; None if it does. It is stored as evidence either way."""
    if not may_become(offer.state, "decided"):
        return "not_on_offer"
    if digest != offer.digest:
        return "shown_differs"
    if offer.valid_until is not None and decided_on > offer.valid_until:
        return "too_late"
    if sorted([*accepted, *declined]) != sorted(offer.lines):
        return "lines_differ"
    return None
