"""Parts that a job needs, from wanted to fitted or sent back, and what a job waits on because of them.

Twin: `pwa/src/domain/parts/needs.ts`.
"""

from collections.abc import Collection, Iterable, Mapping
from uuid import UUID

from pydantic import AwareDatetime

from shopapi.core.enums import TextEnum
from shopapi.core.schema import DecimalText, Label, Moment, Name, OptionalText, Row, Schema
from shopapi.parts.rules.fields import ONE_PIECE, Cost, Each, PartNumber, PartQuantity


class PartState(TextEnum):
    """How far a part is. BACK_ORDERED: the supplier will send it later. FROM_STOCK: the shop has one set aside."""

    WANTED = "wanted"
    ORDERED = "ordered"
    BACK_ORDERED = "back_ordered"
    NO_LONGER_MADE = "no_longer_made"
    ARRIVED = "arrived"
    FITTED = "fitted"
    SENT_BACK = "sent_back"
    FROM_STOCK = "from_stock"
    CANCELLED = "cancelled"


_S = PartState
# A part that is off the machine again has arrived; wanted again: another one, after a wrong one or a cancelled order.
PART_TRANSITIONS: Mapping[PartState, frozenset[PartState]] = {
    _S.WANTED: frozenset({_S.ORDERED, _S.NO_LONGER_MADE, _S.ARRIVED, _S.FITTED, _S.FROM_STOCK, _S.CANCELLED}),
    _S.ORDERED: frozenset(
        {_S.WANTED, _S.BACK_ORDERED, _S.NO_LONGER_MADE, _S.ARRIVED, _S.FITTED, _S.FROM_STOCK, _S.CANCELLED}
    ),
    _S.BACK_ORDERED: frozenset(
        {_S.WANTED, _S.ORDERED, _S.NO_LONGER_MADE, _S.ARRIVED, _S.FITTED, _S.FROM_STOCK, _S.CANCELLED}
    ),
    _S.NO_LONGER_MADE: frozenset({_S.WANTED, _S.ARRIVED, _S.FITTED, _S.FROM_STOCK, _S.CANCELLED}),
    _S.ARRIVED: frozenset({_S.WANTED, _S.FITTED, _S.SENT_BACK}),
    _S.FITTED: frozenset({_S.ARRIVED, _S.SENT_BACK}),
    _S.SENT_BACK: frozenset({_S.WANTED, _S.ARRIVED}),
    _S.FROM_STOCK: frozenset({_S.WANTED, _S.FITTED}),
    _S.CANCELLED: frozenset({_S.WANTED, _S.FITTED}),
}

WAITED_FOR: Collection[PartState] = (_S.WANTED, _S.ORDERED, _S.BACK_ORDERED, _S.NO_LONGER_MADE)
"""A job waits on parts while one of its parts is in one of these states."""


def waits_on_parts(states: Iterable[str]) -> bool:
    """Whether a job waits on parts, by the states of what it needs.

    >>> waits_on_parts(["arrived", "back_ordered"]), waits_on_parts(["fitted", "cancelled"])
    (True, False)
    """
    return any(state in WAITED_FOR for state in states)


class PartNeedFields(Schema):
    """What may be edited of a part that a job needs.

    `number`: as printed on the part or in the book. `superseded_by`: the number that replaces it. Amounts are for one:
    `cost_minor` is what the shop pays or expects to, `price_minor` what the customer is to pay now. `book_page`: where
    it was found. Pictures of the old part are attachments of the need.
    """

    finding_id: UUID | None = None
    catalog_part_id: UUID | None = None
    supplier_id: UUID | None = None
    number: PartNumber = ""
    superseded_by: PartNumber = ""
    description: Name
    quantity: PartQuantity = ONE_PIECE
    cost_minor: Cost = None
    price_minor: Each | None = None
    core_minor: Each = 0
    book_page: Label = ""
    note: OptionalText = ""


class NewPartNeed(PartNeedFields):
    """As it is added. `line_id`: the line of a quote that offers it. `agreed_minor`: the price agreed for one."""

    id: UUID
    job_id: UUID
    line_id: UUID | None = None
    agreed_minor: Each | None = None


class PartNeedMove(Schema):
    id: UUID
    state: PartState


class PartFitting(Schema):
    """A part is on the machine. `id` names the need. One taken from stock is fitted by its move there."""

    id: UUID
    fitted_at: Moment


class PartNeedRow(Row):
    """`above_agreed`: its price, set or by what it costs, is above the one agreed; seen without any figure."""

    job_id: UUID
    finding_id: UUID | None
    line_id: UUID | None
    catalog_part_id: UUID | None
    supplier_id: UUID | None
    number: str
    superseded_by: str
    description: str
    quantity: DecimalText
    cost_minor: Cost
    agreed_minor: int | None
    price_minor: int | None
    above_agreed: bool
    core_minor: int
    book_page: str
    state: PartState
    used_from_id: UUID | None
    fitted_at: AwareDatetime | None
    note: str
