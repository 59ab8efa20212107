"""Days for which a machine is stored at the customer's cost, by what was told at intake.

Counted are the days after the first notice that the machine is ready: the day of the notice is not counted, the day on
which the machine goes back is. The first `free_days` of them are free. Storage is not counted against the authorised
amount. Nothing is charged that was not told at intake, and nothing before the customer was told that it is ready. What
local rules allow is for the shop to check; this only counts.

Twin: `pwa/src/domain/billing/storageDays.ts`; cases: `fixtures/billing/storage.json`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from typing_extensions import TypeAliasType

WhyNoStorage = TypeAliasType("WhyNoStorage", Literal["not_told", "not_notified", "day_unknown", "free", "billed"])


@dataclass(frozen=True, slots=True)
class StorageTerms:
    """What the customer accepted at intake. `cap_minor`: the most that storage comes to; None: without one."""

    free_days: int
    per_day_minor: int
    cap_minor: int | None = None


@dataclass(frozen=True, slots=True)
class ReadyNotice:
    """Evidence that the customer was told that it is ready: on which day of the shop, how, to which address."""

    on: date
    channel: str
    address: str


@dataclass(frozen=True, slots=True)
class StorageCharge:
    """What storage comes to, in minor units. `why`: why nothing is to be charged now; None where something is.

    `days`: all days counted; `charged_days`: those that are not free. `amount_minor`: what they come to, at most the
    cap; `due_minor`: what of it was not billed yet. `free_through`: the last free day. The first of `evidence` counts.
    """

    days: int
    charged_days: int
    amount_minor: int
    due_minor: int
    free_through: date | None
    evidence: tuple[ReadyNotice, ...]
    why: WhyNoStorage | None


def storage_charge(
    terms: StorageTerms | None, notices: Sequence[ReadyNotice], through: date | None, *, billed_minor: int = 0
) -> StorageCharge:
    """The charge through a day: the one on which the machine went back, or today; None: nobody wrote down which.

    `billed_minor`: what was billed for storage before.

    >>> told = [ReadyNotice(date(2026, 11, 1), "email", "ada@example.org")]
    >>> storage_charge(StorageTerms(7, 300), told, date(2026, 11, 10)).due_minor
    600
    """
    known = sorted(notices, key=lambda one: one.on)
    evidence = tuple(one for one in known if through is None or one.on <= through)
    if terms is None or not terms.per_day_minor:
        return StorageCharge(0, 0, 0, 0, None, evidence, "not_told")
    if not evidence:
        return StorageCharge(0, 0, 0, 0, None, (), "not_notified")
    free_through = evidence[0].on + timedelta(days=terms.free_days)
    if through is None:
        return StorageCharge(0, 0, 0, 0, free_through, evidence, "day_unknown")
    days = (through - evidence[0].on).days
    charged = max(days - terms.free_days, 0)
    amount = charged * terms.per_day_minor
    if terms.cap_minor is not None:
        amount = min(amount, terms.cap_minor)
    due = max(amount - billed_minor, 0)
    why: WhyNoStorage | None = None if due else "billed" if amount else "free"
    return StorageCharge(days, charged, amount, due, free_through, evidence, why)
