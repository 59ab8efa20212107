"""How long a supplier takes, from the shop's own orders: the Kaplan-Meier estimate of the share still waited for.

A wait is counted in business days. One that has not ended (not yet arrived, cancelled) is censored: it says only that
the part took longer than that. At each day on which something arrived, the share still waited for is multiplied by
1 - arrived / waiting; a wait censored on that day still counts as waiting (Kaplan and Meier, J. Am. Stat. Assoc. 53,
1958, pp. 457-481, from memory). The estimate ends at the longest wait: beyond it nothing is known.
"""

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

# With fewer arrivals than this a supplier's usual days are used instead.
ENOUGH_ARRIVALS = 5
# How many of a supplier's latest waits count.
MOST_WAITS = 99
# The share that counts as reached despite the rounding of binary fractions.
ROUNDING = 1e-9


@dataclass(frozen=True)
class Wait:
    """How many business days an order line took to arrive; not arrived: how many it has waited so far."""

    days: int
    arrived: bool


@dataclass(frozen=True)
class SurvivalStep:
    """A day on which something arrived: how many waited until then, how many arrived, the share that still waits."""

    days: int
    waiting: int
    arrived: int
    share: float


@dataclass(frozen=True)
class LeadTime:
    """The steps of the estimate by day, of how many waits, and the longest of them."""

    steps: tuple[SurvivalStep, ...]
    waits: int
    longest: int

    @property
    def arrivals(self) -> int:
        return sum(step.arrived for step in self.steps)

    def waiting_share(self, days: int) -> float:
        """The share of lines that take longer than so many days. Beyond the longest wait: as at its end."""
        place = bisect_right([step.days for step in self.steps], days)
        return self.steps[place - 1].share if place else 1.0

    def days_for(self, share: float) -> int | None:
        """In how many days at least this share has arrived; None if the estimate never reaches it."""
        return next((step.days for step in self.steps if 1 - step.share >= share - ROUNDING), None)


def lead_time(waits: Iterable[Wait]) -> LeadTime:
    """The estimate from these waits.

    >>> lead_time([Wait(2, True), Wait(3, False), Wait(5, True)]).waiting_share(4)
    0.6666666666666667
    """
    known = list(waits)
    ended, arrived = Counter(wait.days for wait in known), Counter(wait.days for wait in known if wait.arrived)
    waiting, share, steps = len(known), 1.0, []
    for days in sorted(ended):
        if arrived[days]:
            share *= 1 - arrived[days] / waiting
            steps.append(SurvivalStep(days, waiting, arrived[days], share))
        waiting -= ended[days]
    return LeadTime(tuple(steps), len(known), max(ended, default=0))


def usual_lead_time(days: int) -> LeadTime:
    """The estimate while there is no history: everything arrives after the supplier's usual days."""
    return LeadTime((SurvivalStep(days, 1, 1, 0.0),), 0, days)


def chance_within(known: LeadTime, days: int, *, waited: int = 0) -> float | None:
    """The chance that a part arrives within so many more days, if it was ordered `waited` days ago.

    It may still arrive today, on day `waited`. None if it has waited longer than everything in the history, which then
    says nothing.

    >>> chance_within(lead_time([Wait(2, True), Wait(4, True)]), 0, waited=2)
    0.5
    """
    still = known.waiting_share(waited - 1)
    if still <= ROUNDING:
        return None
    return 1 - known.waiting_share(waited + days) / still
