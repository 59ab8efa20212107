"""Stock: places where parts are kept, and the moves of parts to and from them.

What is at a place is never written down as such: it is the last count there and what was moved since.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Annotated
from uuid import UUID

from pydantic import AwareDatetime, Field

from shopapi.core.enums import TextEnum
from shopapi.core.errors import FieldError
from shopapi.core.schema import DecimalText, Label, Moment, Name, Row, Schema
from shopapi.parts.rules.fields import PartQuantity, StockQuantity


class StockPlaceKind(TextEnum):
    """shelf: a place in the shop. truck: travels with the member who holds it."""

    SHELF = "shelf"
    TRUCK = "truck"


class StockMoveReason(TextEnum):
    """Why parts were moved.

    arrived: from a supplier. fitted: into a machine; above zero where one came back out. counted: see `StockMoveRow`.
    moved: between two places. sent_back: to a supplier. written_off: lost or spoiled.
    """

    ARRIVED = "arrived"
    FITTED = "fitted"
    COUNTED = "counted"
    MOVED = "moved"
    SENT_BACK = "sent_back"
    WRITTEN_OFF = "written_off"


# To a place above zero, from it below; none at all is refused by `move_faults`.
MovedQuantity = Annotated[DecimalText, Field(ge=-10_000, le=10_000)]


class StockPlaceFields(Schema):
    """What may be edited of a place. `holder_id`: the member whose truck it is."""

    name: Name
    kind: StockPlaceKind = StockPlaceKind.SHELF
    holder_id: UUID | None = None
    archived: bool = False


class NewStockPlace(StockPlaceFields):
    id: UUID


class StockPlaceRow(Row):
    name: str
    kind: StockPlaceKind
    holder_id: UUID | None
    archived: bool


class StockMoveRecord(Schema):
    """Parts put to a place (above zero) or taken from it (below zero)."""

    id: UUID
    catalog_part_id: UUID
    place_id: UUID
    quantity: MovedQuantity
    reason: StockMoveReason
    note: Label = ""
    moved_at: Moment


class StockCount(Schema):
    """How many of a part are at a place, counted by a person."""

    id: UUID
    catalog_part_id: UUID
    place_id: UUID
    counted: StockQuantity
    note: Label = ""
    counted_at: Moment


class StockTransfer(Schema):
    """Parts moved from one place to another: two moves, of which `id` leaves and `arriving_id` arrives."""

    id: UUID
    arriving_id: UUID
    catalog_part_id: UUID
    from_place_id: UUID
    to_place_id: UUID
    quantity: PartQuantity
    note: Label = ""
    moved_at: Moment


class StockFitting(Schema):
    """A part taken from a place and fitted where a job needs it. `catalog_part_id`: the one that was taken."""

    id: UUID
    need_id: UUID
    catalog_part_id: UUID
    place_id: UUID
    quantity: PartQuantity
    fitted_at: Moment


class StockMoveRow(Row):
    """A move. A count has `counted_level`; its `quantity` is how many more there were than was known then.

    `counterpart_id` of a move that arrives: the one that left.
    """

    catalog_part_id: UUID
    place_id: UUID
    quantity: DecimalText
    reason: StockMoveReason
    need_id: UUID | None
    counterpart_id: UUID | None
    counted_level: DecimalText | None
    note: str
    moved_at: AwareDatetime
    member_id: UUID | None


class StockLevel(Schema):
    place_id: UUID
    place: str
    level: DecimalText


class StockedPart(Schema):
    """A part with its levels. `on_hand`: of all places, one below zero counted as none. `on_order`: for no job."""

    catalog_part_id: UUID
    number: str
    description: str
    bin: str
    minimum: DecimalText
    on_hand: DecimalText
    on_order: DecimalText
    missing: DecimalText
    levels: list[StockLevel]


class StockReport(Schema):
    """The parts of the catalog that are somewhere, or of which the shop wants some."""

    parts: list[StockedPart]


@dataclass(frozen=True, slots=True)
class Move:
    """What a level needs of a move."""

    moved_at: datetime
    id: UUID
    quantity: Decimal
    counted_level: Decimal | None


def level_of(moves: Iterable[Move]) -> Decimal:
    """How many of one part are at one place: the last count, then every move since by the time it happened.

    So it does not matter in which order phones send their moves: one that happened before a count is within that
    count already, however late it comes. Below zero: more was taken than was known to be there.
    Twin: `levelOf` in `pwa/src/domain/parts/stock.ts`; both run `fixtures/parts/stock.json`.
    """
    level = Decimal(0)
    for move in sorted(moves, key=lambda one: (one.moved_at, one.id)):
        level = level + move.quantity if move.counted_level is None else move.counted_level
    return level


def missing_to_minimum(on_hand: Decimal, on_order: Decimal, minimum: Decimal) -> Decimal:
    """How many to order so that a part's minimum is kept; zero where it is, or where no minimum is set.

    A level below zero counts as none: what was taken without being known is not owed to anybody.

    >>> [str(missing_to_minimum(Decimal(a), Decimal(b), Decimal(c))) for a, b, c in ((1, 0, 4), (1, 3, 4), (-2, 0, 4))]
    ['3', '0', '4']
    """
    return max(Decimal(0), minimum - max(Decimal(0), on_hand) - on_order)


def transfer_faults(data: StockTransfer) -> list[FieldError]:
    """What is wrong with a transfer as a whole."""
    return [FieldError("to_place_id", "same_place")] if data.from_place_id == data.to_place_id else []


# A plain move has no counterpart, no count and no job; these reasons have commands of their own.
_OWN_COMMAND = frozenset({StockMoveReason.COUNTED, StockMoveReason.MOVED})


def move_faults(data: StockMoveRecord) -> list[FieldError]:
    """What is wrong with a move as a whole: parts that arrive come in, parts sent back or written off go out."""
    if data.reason in _OWN_COMMAND:
        return [FieldError("reason", "move_has_own_command", context={"reason": data.reason.value})]
    if data.quantity == 0:
        return [FieldError("quantity", "moved_nothing")]
    comes_in = data.reason is StockMoveReason.ARRIVED
    goes_out = data.reason in (StockMoveReason.SENT_BACK, StockMoveReason.WRITTEN_OFF)
    if (comes_in and data.quantity < 0) or (goes_out and data.quantity > 0):
        return [FieldError("quantity", "moved_wrong_way", message="arrives_in" if comes_in else "goes_out")]
    return []
