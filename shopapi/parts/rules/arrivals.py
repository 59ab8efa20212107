"""Arrivals: what came of a line of an order, in which condition. A wrong entry is undone by another row."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from pydantic import AwareDatetime

from shopapi.core.enums import TextEnum
from shopapi.core.schema import DecimalText, Moment, OptionalText, Row, Schema
from shopapi.parts.rules.fields import Cost, PartQuantity


class ArrivalCondition(TextEnum):
    """WRONG: not the part that was ordered."""

    GOOD = "good"
    WRONG = "wrong"
    DAMAGED = "damaged"


class PartArrivalRecord(Schema):
    """So many of a line that came together. `cost_minor`: paid for one. `undoes_id`: the arrival that was none."""

    id: UUID
    order_line_id: UUID
    quantity: PartQuantity
    condition: ArrivalCondition = ArrivalCondition.GOOD
    cost_minor: Cost = None
    undoes_id: UUID | None = None
    note: OptionalText = ""
    arrived_at: Moment


class PartArrivalRow(Row):
    order_line_id: UUID
    quantity: DecimalText
    condition: ArrivalCondition
    cost_minor: Cost
    undoes_id: UUID | None
    note: str
    arrived_at: AwareDatetime
    member_id: UUID | None


@dataclass(frozen=True)
class Arrived:
    """An arrival as the sums read it."""

    id: UUID
    quantity: Decimal
    condition: ArrivalCondition
    undoes_id: UUID | None = None


def counted(arrivals: Iterable[Arrived]) -> list[Arrived]:
    """The arrivals that count: neither undone nor undoing another."""
    known = list(arrivals)
    undone = {each.undoes_id for each in known}
    return [each for each in known if each.undoes_id is None and each.id not in undone]


def good_of(arrivals: Iterable[Arrived]) -> Decimal:
    """How many came in good condition. Twin: `goodOf` in `pwa/src/domain/parts/orders.ts`."""
    return sum(
        (each.quantity for each in counted(arrivals) if each.condition == ArrivalCondition.GOOD), start=Decimal(0)
    )
