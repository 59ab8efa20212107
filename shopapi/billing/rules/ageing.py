"""The age of what is owed, by the shop's days past the due day.

Cases: `fixtures/billing/ageing.json`.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal
from uuid import UUID

from typing_extensions import TypeAliasType

from shopapi.core.schema import Schema

AgeBucket = TypeAliasType("AgeBucket", Literal["current", "days_30", "days_60", "days_90", "over_90", "credit"])
BUCKETS: tuple[AgeBucket, ...] = ("current", "days_30", "days_60", "days_90", "over_90", "credit")
"""Not due yet, 1 to 30 days late, 31 to 60, 61 to 90, more; `credit`: what the shop owes the customer, below zero."""

_LAST_DAY: tuple[tuple[int, AgeBucket], ...] = ((0, "current"), (30, "days_30"), (60, "days_60"), (90, "days_90"))


@dataclass(frozen=True, slots=True)
class OpenAmount:
    """What is open of one invoice or credit; a credit is below zero. `due_on` None: it never becomes late."""

    due_on: date | None
    open_minor: int


def days_late(due_on: date | None, today: date) -> int:
    """How many days an amount is late; 0 up to the due day itself."""
    return 0 if due_on is None else max((today - due_on).days, 0)


def bucket_of(one: OpenAmount, today: date) -> AgeBucket:
    """The bucket of an amount. The due day is not late; the 30th day after it is the last of the first 30.

    >>> bucket_of(OpenAmount(date(2026, 10, 31), 100), date(2026, 11, 30))
    'days_30'
    """
    if one.open_minor < 0:
        return "credit"
    late = days_late(one.due_on, today)
    return next((bucket for last, bucket in _LAST_DAY if late <= last), "over_90")


def age_amounts(amounts: Iterable[OpenAmount], today: date) -> Mapping[AgeBucket, int]:
    """The sum of each bucket in minor units; together they are the sum of all amounts."""
    sums: dict[AgeBucket, int] = dict.fromkeys(BUCKETS, 0)
    for one in amounts:
        sums[bucket_of(one, today)] += one.open_minor
    return sums


class Ages(Schema):
    """The sum of each bucket in minor units."""

    current: int
    days_30: int
    days_60: int
    days_90: int
    over_90: int
    credit: int


class AgeingRow(Schema):
    """What one customer owes in minor units; `open_minor` is the sum of the ages, below zero: what the shop owes."""

    customer_id: UUID
    name: str
    ages: Ages
    open_minor: int
    oldest_due_on: date | None
    invoices: int


class AgeingReport(Schema):
    """What all customers owe through a day of the shop."""

    through: date
    currency: str
    rows: list[AgeingRow]
    ages: Ages
    open_minor: int
