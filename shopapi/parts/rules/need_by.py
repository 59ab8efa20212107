"""By when each part is needed, from the order of the work: the latest start of the work that it belongs to.

The critical path method: going back from the end, each work must start early enough for the longest chain of works
after it (Kelley and Walker 1959, from memory).
"""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_CEILING, Decimal
from graphlib import CycleError, TopologicalSorter

from shopapi.parts.rules.business_days import OpenDays, add_business_days

HOURS_PER_DAY = Decimal(6)
"""The hours of work on one job that fit in a business day besides other jobs. Drawbar's own; no source."""


@dataclass(frozen=True)
class NetworkWork:
    """A work with its hours, and the works that must be finished before it."""

    key: Hashable
    hours: Decimal
    after: frozenset[Hashable] = frozenset()


def latest_starts(works: Sequence[NetworkWork]) -> Mapping[Hashable, Decimal]:
    """How many hours of work before the end each work must start at the latest. Raises CycleError.

    >>> latest_starts([NetworkWork("deck", Decimal(2)), NetworkWork("belt", Decimal(1), frozenset({"deck"}))])
    {'belt': Decimal('1'), 'deck': Decimal('3')}
    """
    known = {work.key: work for work in works}
    followers: dict[Hashable, set[Hashable]] = {key: set() for key in known}
    for work in works:
        for before in work.after & known.keys():
            followers[before].add(work.key)
    found: dict[Hashable, Decimal] = {}
    for key in TopologicalSorter(followers).static_order():
        found[key] = known[key].hours + max((found[one] for one in followers[key]), default=Decimal(0))
    return found


@dataclass(frozen=True)
class AcceptedWork:
    """An accepted work of a job, in the order of its quote. `waits`: one of its parts has not come."""

    key: Hashable
    hours: Decimal
    waits: bool


def hours_from(works: Sequence[AcceptedWork]) -> dict[Hashable, Decimal]:
    """How many hours before the end each work that waits for a part must start at the latest.

    What waits for no part is done before the parts come; the rest follows in the order of the quote, one after the
    other. Twin: `hoursFrom` in `pwa/src/domain/parts/needBy.ts`.

    >>> works = [("oil", Decimal(1), False), ("deck", Decimal(2), True), ("belt", Decimal(1), True)]
    >>> hours_from([AcceptedWork(*work) for work in works])
    {'belt': Decimal('1'), 'deck': Decimal('3')}
    """
    waiting = [work for work in works if work.waits]
    before = [frozenset[Hashable](), *(frozenset({work.key}) for work in waiting)]
    return dict(
        latest_starts([NetworkWork(work.key, work.hours, after) for work, after in zip(waiting, before, strict=False)])
    )


def latest_order_day(promised_on: date, hours: Decimal, lead_days: int, open_days: OpenDays) -> date:
    """The last day on which a part can be ordered: the promised day less the work that follows it and the lead time.

    >>> latest_order_day(date(2026, 12, 11), Decimal(7), 3, OpenDays())
    datetime.date(2026, 12, 4)
    """
    return add_business_days(promised_on, -(in_days(hours) + lead_days), open_days)


def in_days(hours: Decimal) -> int:
    """The business days that so many hours of work on one job take.

    >>> in_days(Decimal("6.5")), in_days(Decimal(0))
    (2, 0)
    """
    return int((hours / HOURS_PER_DAY).to_integral_value(ROUND_CEILING))


__all__ = [
    "HOURS_PER_DAY",
    "AcceptedWork",
    "CycleError",
    "NetworkWork",
    "hours_from",
    "in_days",
    "latest_order_day",
    "latest_starts",
]
