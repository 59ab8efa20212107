"""Closed periods: days behind which the books do not change any more.

The newest entry counts. Closing goes up to a day that is over, or to today once the takings of the day are counted. To
open days again is an entry too, with an earlier day and the reason why, so that what happened stays to be read.
"""

from datetime import date
from typing import Annotated
from uuid import UUID

from pydantic import Field

from shopapi.billing.rules.payments import PaymentMethod
from shopapi.core.errors import Conflict, FieldError
from shopapi.core.schema import MinorUnits, OptionalText, Row, Schema


class CountedTakings(Schema):
    """What was counted of one method when a day was closed, beside what was expected then, in minor units."""

    method: PaymentMethod
    expected_minor: MinorUnits
    counted_minor: MinorUnits


class PeriodClosing(Schema):
    """Close the books up to a day, that day included; an earlier day than the last one opens those between again.

    `note` says why; it is needed to open days again. `counted`: the takings of that day by method, each once.
    """

    id: UUID
    closed_through: date
    note: OptionalText = ""
    counted: Annotated[tuple[CountedTakings, ...], Field(max_length=len(PaymentMethod))] = ()


class PeriodCloseRow(Row):
    closed_through: date
    note: str
    counted: list[CountedTakings]
    member_id: UUID | None


def closing_faults(data: PeriodClosing, *, closed_through: date | None, today: date) -> list[FieldError]:
    """What is wrong with a closing, by field; `closed_through` is what is closed now.

    >>> last = PeriodClosing(id=UUID(int=1), closed_through=date(2026, 11, 30))
    >>> [fault.code for fault in closing_faults(last, closed_through=None, today=last.closed_through)]
    ['day_not_over']
    """
    methods = [each.method for each in data.counted]
    if len(set(methods)) < len(methods):
        return [FieldError("counted", "counted_twice")]
    if data.closed_through > today or (data.closed_through == today and not data.counted):
        return [FieldError("closed_through", "day_not_over", context={"today": today.isoformat()})]
    if closed_through is None or data.closed_through > closed_through:
        return []
    if data.closed_through == closed_through:
        return [FieldError("closed_through", "closed_already", context={"day": closed_through.isoformat()})]
    if not data.note.strip():
        return [FieldError("note", "opening_needs_reason", context={"day": closed_through.isoformat()})]
    return []


def refuse_closed(day: date, closed_through: date | None, *, field: str) -> None:
    """Raise Conflict `period_closed` for a day that is closed: an intent is rejected by it, a fact held as an issue."""
    if closed_through is not None and day <= closed_through:
        context = {"day": day.isoformat(), "closed": closed_through.isoformat()}
        raise Conflict("period_closed", fields=[FieldError(field, "period_closed", context=context)], context=context)
