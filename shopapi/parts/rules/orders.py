"""Orders of parts: their states, what is still to come of a line, and the schemas of orders and lines.

The state of an order that was sent follows from its lines: closed once nothing is to come, confirmed once the supplier
has answered every line, else sent. Twin: `pwa/src/domain/parts/orders.ts`; both run `fixtures/parts/orders.json`.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Annotated
from uuid import UUID

from pydantic import AwareDatetime, Field

from shopapi.core.enums import TextEnum
from shopapi.core.schema import DecimalText, Label, Moment, OptionalText, Row, Schema, Text
from shopapi.parts.rules.fields import ONE_PIECE, Cost, Each, PartNumber, PartQuantity
from shopapi.parts.rules.needs import PartState
from shopapi.parts.rules.order_sheet import OrderPdfState
from shopapi.parts.rules.suppliers import OrderBy


class OrderState(TextEnum):
    DRAFT = "draft"
    SENT = "sent"
    CONFIRMED = "confirmed"
    CLOSED = "closed"
    CANCELLED = "cancelled"


# A closed order opens again when an arrival turns out to be wrong.
ORDER_TRANSITIONS: Mapping[OrderState, frozenset[OrderState]] = {
    OrderState.DRAFT: frozenset({OrderState.SENT, OrderState.CANCELLED}),
    OrderState.SENT: frozenset({OrderState.CONFIRMED, OrderState.CLOSED, OrderState.CANCELLED}),
    OrderState.CONFIRMED: frozenset({OrderState.SENT, OrderState.CLOSED, OrderState.CANCELLED}),
    OrderState.CLOSED: frozenset({OrderState.SENT, OrderState.CONFIRMED}),
    OrderState.CANCELLED: frozenset(),
}
UNDERWAY = (OrderState.SENT, OrderState.CONFIRMED)


class LineAnswer(TextEnum):
    """What the supplier said about a line. DROPPED: the shop gave up what had not come."""

    OPEN = "open"
    CONFIRMED = "confirmed"
    BACK_ORDERED = "back_ordered"
    NO_LONGER_MADE = "no_longer_made"
    DROPPED = "dropped"


# Nothing more comes of a line with one of these answers.
NOTHING_TO_COME = (LineAnswer.NO_LONGER_MADE, LineAnswer.DROPPED)


LinePosition = Annotated[int, Field(ge=0, le=10_000)]


class PartOrderFields(Schema):
    """What may be changed of an order at any time. `bill_*`: what the supplier asks for it, and when that was paid."""

    promised_on: date | None = None
    note: OptionalText = ""
    bill_number: PartNumber = ""
    bill_minor: Cost = None
    bill_due_on: date | None = None
    bill_paid_on: date | None = None


class NewPartOrder(Schema):
    """An order as it is begun. `mark` names it until the server numbers it."""

    id: UUID
    supplier_id: UUID
    mark: Annotated[Text, Field(max_length=20)] = ""
    note: OptionalText = ""


class PartOrderRow(Row):
    supplier_id: UUID
    number: str | None
    mark: str
    state: OrderState
    sent_at: AwareDatetime | None
    sent_how: OrderBy | None
    promised_on: date | None
    note: str
    bill_number: str
    bill_minor: Cost
    bill_due_on: date | None
    bill_paid_on: date | None
    pdf_state: OrderPdfState
    pdf_reason: str


class OrderSent(Schema):
    """That a member has sent an order from the phone, by telephone or at the counter."""

    id: UUID
    how: OrderBy
    sent_at: Moment


class OrderMail(Schema):
    """Send an order as a mail of this server, to the supplier's address or another."""

    id: UUID
    address: Annotated[Text, Field(max_length=254)] = ""
    sent_at: Moment


class PartOrderLineFields(Schema):
    """What may be changed of a line while its order is a draft. Prices are of one, in minor units."""

    number: PartNumber = ""
    description: Label = ""
    quantity: PartQuantity = ONE_PIECE
    cost_minor: Cost = None
    core_minor: Each = 0
    position: LinePosition = 0


class NewPartOrderLine(PartOrderLineFields):
    """A line of an order: for a need of a job, or a part of the catalog for the shelf, or neither."""

    id: UUID
    order_id: UUID
    need_id: UUID | None = None
    catalog_part_id: UUID | None = None


class PartOrderLineRow(Row):
    order_id: UUID
    need_id: UUID | None
    catalog_part_id: UUID | None
    number: str
    description: str
    quantity: DecimalText
    cost_minor: Cost
    core_minor: int
    answer: LineAnswer
    promised_on: date | None
    position: int


class LineAnswered(Schema):
    """What the supplier said about a line. A price, where one was named, is of one, in minor units."""

    id: UUID
    answer: LineAnswer
    promised_on: date | None = None
    cost_minor: Cost = None


@dataclass(frozen=True)
class LineStatus:
    """A line as far as the state of its order asks: what was ordered, answered, and came in good condition."""

    quantity: Decimal
    answer: LineAnswer
    good: Decimal = Decimal(0)

    @property
    def open(self) -> Decimal:
        """How many are still to come. Wrong and damaged ones are still owed; too many leave nothing."""
        if self.answer in NOTHING_TO_COME:
            return Decimal(0)
        return max(self.quantity - self.good, Decimal(0))


def state_after(state: OrderState, lines: Iterable[LineStatus]) -> OrderState:
    """The state of an order once something of its lines changed; that of a draft or a cancelled order stays."""
    if state in (OrderState.DRAFT, OrderState.CANCELLED):
        return state
    known = list(lines)
    if not any(line.open for line in known):
        return OrderState.CLOSED
    if all(line.answer != LineAnswer.OPEN for line in known if line.open):
        return OrderState.CONFIRMED
    return OrderState.SENT


def need_state(state: OrderState, line: LineStatus) -> PartState:
    """The state of the need of a line, by that of its order.

    What was given up or taken back before all of it came is wanted again.

    >>> need_state(OrderState.SENT, LineStatus(Decimal(2), LineAnswer.CONFIRMED, Decimal(1)))
    <PartState.ORDERED: 'ordered'>
    """
    if line.good >= line.quantity:
        return PartState.ARRIVED
    if state in (OrderState.DRAFT, OrderState.CANCELLED):
        return PartState.WANTED
    return _NEED_STATES.get(line.answer, PartState.ORDERED)


_NEED_STATES: Mapping[LineAnswer, PartState] = {
    LineAnswer.BACK_ORDERED: PartState.BACK_ORDERED,
    LineAnswer.NO_LONGER_MADE: PartState.NO_LONGER_MADE,
    LineAnswer.DROPPED: PartState.WANTED,
}

# What became of a need in another way, such as fitted from stock, is not changed by its order.
FOLLOWS_ITS_ORDER = (
    PartState.WANTED,
    PartState.ORDERED,
    PartState.BACK_ORDERED,
    PartState.NO_LONGER_MADE,
    PartState.ARRIVED,
)
