"""The plain data of a quote's PDF, in addition to the offer document and its totals."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from shopapi.quotes.rules.schemas import How
from shopapi.quotes.rules.states import QuoteState

INK_BOX = 10_000
"""Coordinates of signature points are from 0 to this, across the signature field and down."""


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
    """`exempt_reason` is used where the offer says that the customer is exempt from tax."""

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
    """Facts of the machine that are not in the offer."""

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
    """A signature: strokes of points (x, y, ...) in `INK_BOX`, from a signature field of this width and height."""

    strokes: Sequence[Sequence[Sequence[int]]]
    width: int
    height: int
    signer_name: str


@dataclass(frozen=True, slots=True)
class DecisionFacts:
    """An approval. `zone` is that of the device; `matches`: it is about the offer printed here.

    `accepted_total_minor` is None where the decision has no totals; labor and parts are its shares before tax.
    `taken_by` is the member who recorded it.
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
