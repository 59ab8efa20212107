"""Days for which a machine is stored at the customer's cost, by what was told at intake.

Counted are the days after the first notice that the machine is ready: the day of the notice is not counted, the day on
which the machine goes back is. A job that was ready and is worked on again stops the count: its days count up to the
one before, and go on after the next notice once it is ready again. The first `free_days` of all days are free. Storage
is not counted against the authorised amount. Nothing is charged that was not told at intake, and nothing before the
customer was told that it is ready. What local rules allow is for the shop to check; this only counts.

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
class ResumedDays:
    """From when to when a machine that was ready was worked on again; `ready_on`: None while it is."""

    from_on: date
    ready_on: date | None


@dataclass(frozen=True, slots=True)
class StorageCharge:
    """What storage comes to, in minor units. `why`: why nothing is to be charged now; None where something is.

    `days`: all days counted; `charged_days`: those that are not free. `amount_minor`: what they come to, at most the
    cap; `due_minor`: what of it was not billed yet. `free_through`: the last free day. The first of `evidence` counts.
    `paused_days`: those between the first and the last day counted on which the count stood still.
    """

    days: int
    charged_days: int
    amount_minor: int
    due_minor: int
    free_through: date | None
    evidence: tuple[ReadyNotice, ...]
    why: WhyNoStorage | None
    paused_days: int = 0


def storage_charge(
    terms: StorageTerms | None,
    notices: Sequence[ReadyNotice],
    through: date | None,
    *,
    billed_minor: int = 0,
    resumed: Sequence[ResumedDays] = (),
) -> StorageCharge:
    """The charge through a day: the one on which the machine went back, or today; None: nobody wrote down which.

    `billed_minor`: what was billed for storage before. `resumed`: when it was worked on again, in order.

    >>> told = [ReadyNotice(date(2026, 11, 1), "email", "ada@example.org")]
    >>> storage_charge(StorageTerms(7, 300), told, date(2026, 11, 10)).due_minor
    600
    """
    known = sorted(notices, key=lambda one: one.on)
    evidence = tuple(one for one in known if through is None or one.on <= through)
    if terms is None or not terms.per_day_minor:
        return StorageCharge(0, 0, 0, 0, None, evidence, "not_told")
    stretches = _stretches(evidence, through, resumed)
    if not stretches:
        return StorageCharge(0, 0, 0, 0, None, evidence, "not_notified")
    first = stretches[0][0]
    evidence = tuple(one for one in evidence if one.on >= first)
    free_through = _free_through(stretches, terms.free_days)
    if through is None:
        return StorageCharge(0, 0, 0, 0, free_through, evidence, "day_unknown")
    days = sum(count for _, count in stretches)
    charged = max(days - terms.free_days, 0)
    amount = charged * terms.per_day_minor
    if terms.cap_minor is not None:
        amount = min(amount, terms.cap_minor)
    due = max(amount - billed_minor, 0)
    why: WhyNoStorage | None = None if due else "billed" if amount else "free"
    told, count = stretches[-1]
    paused = (told - first).days + count - days
    return StorageCharge(days, charged, amount, due, free_through, evidence, why, paused)


def _stretches(
    evidence: Sequence[ReadyNotice], through: date | None, resumed: Sequence[ResumedDays]
) -> list[tuple[date, int]]:
    """Each stretch of days that count: the day of the notice that begins it, and how many days follow."""
    found, after = [], date.min
    for until in [*resumed, None]:
        last = through if until is None else until.from_on - timedelta(days=1)
        told = next((one.on for one in evidence if one.on >= after), None)
        if told is not None and (until is None or told <= until.from_on):
            ends = told if last is None else last if through is None else min(last, through)
            found.append((told, max((ends - told).days, 0)))
        if until is None or until.ready_on is None:
            break
        after = until.ready_on
    return found


def _free_through(stretches: Sequence[tuple[date, int]], free_days: int) -> date:
    left = free_days
    for told, days in stretches[:-1]:
        if left <= days:
            return told + timedelta(days=left)
        left -= days
    return stretches[-1][0] + timedelta(days=left)
