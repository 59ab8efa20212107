"""Returns to suppliers: what goes back and why, and what of it the supplier still has to refund."""

from collections.abc import Mapping
from datetime import date
from typing import Annotated
from uuid import UUID

from pydantic import Field

from shopapi.core.enums import TextEnum
from shopapi.core.schema import DecimalText, Label, OptionalText, Row, Schema
from shopapi.parts.rules.fields import Cost, PartNumber, PartQuantity


class ReturnReason(TextEnum):
    """CORE: the old part, for which a deposit was paid. WARRANTY: it failed too early."""

    WRONG = "wrong"
    DAMAGED = "damaged"
    NOT_NEEDED = "not_needed"
    CORE = "core"
    WARRANTY = "warranty"


class ReturnState(TextEnum):
    TO_SEND = "to_send"
    SENT = "sent"
    REFUNDED = "refunded"
    REFUSED = "refused"


# Money may come before the part was sent, and after it was refused; an amount typed wrong is taken back.
RETURN_TRANSITIONS: Mapping[ReturnState, frozenset[ReturnState]] = {
    ReturnState.TO_SEND: frozenset({ReturnState.SENT, ReturnState.REFUNDED, ReturnState.REFUSED}),
    ReturnState.SENT: frozenset({ReturnState.REFUNDED, ReturnState.REFUSED}),
    ReturnState.REFUNDED: frozenset({ReturnState.TO_SEND, ReturnState.SENT}),
    ReturnState.REFUSED: frozenset({ReturnState.TO_SEND, ReturnState.SENT, ReturnState.REFUNDED}),
}


class PartReturnFields(Schema):
    """What may be changed of a return. `expected_minor`: what the supplier should refund in all, in minor units."""

    number: PartNumber = ""
    description: Label = ""
    quantity: PartQuantity
    expected_minor: Cost = None
    note: OptionalText = ""


class NewPartReturn(PartReturnFields):
    """A part to send back: of a line that was ordered, of a need, or neither."""

    id: UUID
    supplier_id: UUID
    order_line_id: UUID | None = None
    need_id: UUID | None = None
    reason: ReturnReason


class PartReturnRow(Row):
    """`refunded_minor`: what has come back so far, in minor units."""

    supplier_id: UUID
    order_line_id: UUID | None
    need_id: UUID | None
    number: str
    description: str
    quantity: DecimalText
    reason: ReturnReason
    expected_minor: Cost
    note: str
    state: ReturnState
    sent_on: date | None
    refunded_minor: Cost
    refunded_on: date | None


class ReturnSent(Schema):
    id: UUID
    sent_on: date


class ReturnRefunded(Schema):
    """Money that came back; below zero, it puts right what was typed before. `rest_lost`: no more will come."""

    id: UUID
    amount_minor: Annotated[int, Field(ge=-(10**9), le=10**9)]
    refunded_on: date
    rest_lost: bool = False


class ReturnRefused(Schema):
    """That the supplier does not take a part back, with what was said."""

    id: UUID
    note: OptionalText = ""


def may_become(state: ReturnState, to: ReturnState) -> bool:
    return to in RETURN_TRANSITIONS[state]


def owed(state: ReturnState, expected_minor: int | None, refunded_minor: int | None) -> int:
    """What a supplier still has to refund, in minor units; nothing of a return that is settled or was refused.

    Twin: `owedOf` in `pwa/src/domain/parts/returns.ts`; both run `fixtures/parts/returns.json`.

    >>> owed(ReturnState.SENT, 4500, 2000), owed(ReturnState.REFUSED, 4500, None)
    (2500, 0)
    """
    if state in (ReturnState.REFUNDED, ReturnState.REFUSED):
        return 0
    return max((expected_minor or 0) - (refunded_minor or 0), 0)


def state_when_refunded(
    state: ReturnState, expected_minor: int | None, refunded_minor: int, *, was_sent: bool, rest_lost: bool
) -> ReturnState:
    """The state once `refunded_minor` have come in all: settled when that is all that was expected, or no more comes.

    Where the amount expected is not known, any money settles it.
    """
    if rest_lost or (refunded_minor > 0 and refunded_minor >= (expected_minor or 0)):
        return ReturnState.REFUNDED
    if state in (ReturnState.REFUNDED, ReturnState.REFUSED):
        return ReturnState.SENT if was_sent else ReturnState.TO_SEND
    return state
