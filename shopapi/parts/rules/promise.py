"""When all parts of a job will be there, and the day that can be promised.

Parts from one supplier are taken to come together: the chance for them is that of the least likely. Suppliers are taken
to be independent: the chance for all is the product over them.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from shopapi.parts.rules.lead_times import ROUNDING, LeadTime, chance_within

# Farther than this nothing is promised.
FARTHEST = 400


@dataclass(frozen=True)
class Expected:
    """A part that has not arrived.

    `waited`: business days since it was ordered, 0 if it is not. `not_before`: in how many business days from today it
    comes at the earliest, since the supplier said so.
    """

    supplier: UUID | None
    lead_time: LeadTime
    waited: int = 0
    not_before: int = 0


def chance_of_one(part: Expected, days: int) -> float | None:
    """The chance that a part is there in so many business days from today; None: its history says nothing.

    Before the day that the supplier gave, the chance is 0; from that day on it is as the history says.
    """
    if days < part.not_before:
        return 0.0
    return chance_within(part.lead_time, days, waited=part.waited)


def chance_of_all(parts: Iterable[Expected], days: int) -> float | None:
    """The chance that all parts are there in so many business days; None if one of them says nothing. No parts: 1.

    >>> from shopapi.parts.rules.lead_times import SurvivalStep
    >>> def known(share):
    ...     return LeadTime((SurvivalStep(3, 10, 10, 1 - share),), 10, 3)
    >>> round(chance_of_all([Expected(UUID(int=1), known(0.8)), Expected(UUID(int=2), known(0.9))], 3), 6)
    0.72
    """
    by_supplier: dict[UUID | None, float] = {}
    for part in parts:
        chance = chance_of_one(part, days)
        if chance is None:
            return None
        by_supplier[part.supplier] = min(chance, by_supplier.get(part.supplier, 1.0))
    product = 1.0
    for chance in by_supplier.values():
        product *= chance
    return product


def days_for_all(parts: Iterable[Expected], share: float) -> int | None:
    """In how many business days all parts are there with at least this chance; None if that cannot be said."""
    listed = list(parts)
    for days in range(FARTHEST + 1):
        chance = chance_of_all(listed, days)
        if chance is None:
            return None
        if chance >= share - ROUNDING:
            return days
    return None
