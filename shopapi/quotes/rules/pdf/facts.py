"""What the paper of a quote is made from, beside the offer document and its totals: plain facts."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from shopapi.quotes.rules.schemas import How
from shopapi.quotes.rules.states import QuoteState

INK_BOX = 10_000
"""Ink points count from 0 to this across the glass and down it."""


@dataclass(frozen=True, slots=True)
class ShopHead:
    address: str
    phone: str
    email: str
    locale: str
    zone: str


@dataclass(frozen=True, slots=True)
class QuoteFacts:
    """`number` is the server's, None while only the phone's provisional `mark` exists."""

    number: str | None
    mark: str
    job: str
    state: QuoteState
    offered_at: datetime | None
    digest: str | None
    note: str


@dataclass(frozen=True, slots=True)
class CustomerFacts:
    """`exempt_reason` counts where the offer says that the customer is exempt from tax."""

    person: str
    phone: str
    email: str
    address: str
    exempt_reason: str


@dataclass(frozen=True, slots=True)
class SiteFacts:
    label: str
    address: str


@dataclass(frozen=True, slots=True)
class MachineFacts:
    """What the offer does not already say of the machine."""

    year: int | None
    engine_make: str
    engine_model: str
    engine_serial: str
    tag: str


@dataclass(frozen=True, slots=True)
class ComplaintFacts:
    """A complaint in the customer's words."""

    words: str
    happens_when: str


@dataclass(frozen=True, slots=True)
class SignatureFacts:
    """A signature: strokes of points (x, y, ...) in `INK_BOX`, on glass of this width and height."""

    strokes: Sequence[Sequence[Sequence[int]]]
    width: int
    height: int
    signer_name: str


@dataclass(frozen=True, slots=True)
class DecisionFacts:
    """An approval. `zone` is that of the device; `matches`: it was made on the offer printed here.

    `accepted_total_minor` is None where the decision has no totals; of it, before tax, labor and parts.
    `taken_by` is the member who wrote it down.
    """

    how: How
    name: str
    at: datetime
    zone: str
    received_at: datetime
    digest: str
    matches: bool
    accepted_ids: frozenset[UUID]
    declined_ids: frozenset[UUID]
    accepted_total_minor: int | None
    note: str
    ink: SignatureFacts | None
    accepted_labor_minor: int | None = None
    accepted_parts_minor: int | None = None
    number_called: str = ""
    conditions: str = ""
    taken_by: str = ""
