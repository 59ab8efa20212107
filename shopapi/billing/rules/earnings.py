"""What the shop took and earned over a period.

Conventions:
- Billed is what was issued in the period, credit notes below zero, without tax.
- A job is in the period in which its last invoice was issued, with all that was billed, fitted and clocked on it.
- Parts cost what the shop paid for the fitted ones; of parts without a known cost the number is said, they count 0.
- Margin is billed less the cost of parts. What the hours cost is not in it: the shop's pay rates are not kept.
- A member's share of a job is their part of all hours clocked on it, to the cent, by largest remainder.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from uuid import UUID

from shopapi.core.money import round_half, share_out
from shopapi.core.schema import DecimalText, Schema


class MonthTakings(Schema):
    """One month in minor units: billed without tax, its tax, money taken less money given back, tips."""

    month: str
    billed_minor: int
    tax_minor: int
    taken_minor: int
    tips_minor: int


class MethodTakings(Schema):
    method: str
    taken_minor: int


class TakingsRow(Schema):
    """One entry of money behind the figures; below zero where it was given back."""

    payment_id: UUID
    job_id: UUID | None
    invoice_id: UUID | None
    job: str
    customer: str
    paid_on: date
    kind: str
    method: str
    taken_minor: int
    tip_minor: int


class TakingsReport(Schema):
    """What was billed and taken in a period by month and method."""

    zone: str
    first: date
    last: date
    minor_digits: int
    months: list[MonthTakings]
    methods: list[MethodTakings]
    payments: list[TakingsRow]


class JobMarginRow(Schema):
    """One job. `unknown_costs`: fitted parts without a known cost. `per_hour_minor`: margin per clocked hour."""

    job_id: UUID
    job: str
    kind: str
    billed_minor: int
    parts_cost_minor: int
    unknown_costs: int
    clocked_seconds: int
    margin_minor: int
    per_hour_minor: int | None


class MarginGroup(Schema):
    """The same for a kind of machine or a member; `jobs`: how many jobs are in it."""

    name: str
    member_id: UUID | None
    jobs: int
    billed_minor: int
    parts_cost_minor: int
    clocked_seconds: int
    margin_minor: int
    per_hour_minor: int | None
    margin_percent: DecimalText | None


class MarginReport(Schema):
    """Billed, cost of parts and margin of the jobs billed in a period: each job, by kind of machine, by member."""

    zone: str
    first: date
    last: date
    minor_digits: int
    whole: MarginGroup
    kinds: list[MarginGroup]
    members: list[MarginGroup]
    jobs: list[JobMarginRow]


class TurnedPart(Schema):
    """A part by its number: how many were fitted, what they cost and brought, in minor units without tax."""

    number: str
    description: str
    fitted: DecimalText
    cost_minor: int | None
    price_minor: int | None
    jobs: list[UUID]


class PartsTurnedReport(Schema):
    zone: str
    first: date
    last: date
    minor_digits: int
    parts: list[TurnedPart]


@dataclass(frozen=True)
class JobMoney:
    """What is known of a billed job; `clocked`: seconds by member."""

    job_id: UUID
    job: str
    kind: str
    billed_minor: int
    parts_cost_minor: int
    unknown_costs: int
    clocked: Mapping[UUID, int]

    @property
    def seconds(self) -> int:
        return sum(self.clocked.values())

    @property
    def margin_minor(self) -> int:
        return self.billed_minor - self.parts_cost_minor


def per_hour(minor: int, seconds: int) -> int | None:
    """An amount per hour, rounded to the cent, half away from zero; None without a clocked second.

    >>> per_hour(10_000, 5400), per_hour(100, 0)
    (6667, None)
    """
    return round_half(Fraction(minor * 3600, seconds), "half_away") if seconds else None


def margin_percent(margin: int, billed: int) -> Decimal | None:
    """The margin in percent of what was billed, to a tenth; None where nothing was billed.

    A mark-up of 50 % on the cost is a margin of 33.3 %.

    >>> margin_percent(50, 150), margin_percent(1, 0)
    (Decimal('33.3'), None)
    """
    if billed <= 0:
        return None
    return Decimal(round_half(Fraction(margin * 1000, billed), "half_away")).scaleb(-1)


def margin_row(job: JobMoney) -> JobMarginRow:
    return JobMarginRow(
        job_id=job.job_id,
        job=job.job,
        kind=job.kind,
        billed_minor=job.billed_minor,
        parts_cost_minor=job.parts_cost_minor,
        unknown_costs=job.unknown_costs,
        clocked_seconds=job.seconds,
        margin_minor=job.margin_minor,
        per_hour_minor=per_hour(job.margin_minor, job.seconds),
    )


def margin_group(name: str, parts: Iterable[tuple[int, int, int]], *, member_id: UUID | None = None) -> MarginGroup:
    """Sum up jobs or shares of jobs, each as (billed, cost of parts, seconds)."""
    rows = list(parts)
    billed, cost, seconds = (sum(column) for column in zip(*rows, strict=True)) if rows else (0, 0, 0)
    margin = billed - cost
    return MarginGroup(
        name=name,
        member_id=member_id,
        jobs=len(rows),
        billed_minor=billed,
        parts_cost_minor=cost,
        clocked_seconds=seconds,
        margin_minor=margin,
        per_hour_minor=per_hour(margin, seconds),
        margin_percent=margin_percent(margin, billed),
    )


def by_kind(jobs: Sequence[JobMoney]) -> list[MarginGroup]:
    """One group per kind of machine, the largest margin first."""
    found: dict[str, list[tuple[int, int, int]]] = defaultdict(list)
    for job in jobs:
        found[job.kind].append((job.billed_minor, job.parts_cost_minor, job.seconds))
    return _sorted(margin_group(kind, parts) for kind, parts in found.items())


def by_member(jobs: Sequence[JobMoney], names: Mapping[UUID, str]) -> list[MarginGroup]:
    """One group per member who clocked on a job; jobs that nobody clocked on are in none."""
    found: dict[UUID, list[tuple[int, int, int]]] = defaultdict(list)
    for job in jobs:
        members = sorted(job.clocked)
        weights = [job.clocked[member] for member in members]
        if not sum(weights):
            continue
        billed = _shares(job.billed_minor, weights)
        costs = _shares(job.parts_cost_minor, weights)
        for member, *part in zip(members, billed, costs, weights, strict=True):
            found[member].append((part[0], part[1], part[2]))
    return _sorted(margin_group(names.get(member, ""), parts, member_id=member) for member, parts in found.items())


def _shares(amount: int, weights: Sequence[int]) -> list[int]:
    """Whole shares of an amount that may be below zero, where more was credited than billed."""
    shares = share_out(abs(amount), list(weights))
    return shares if amount >= 0 else [-share for share in shares]


def _sorted(groups: Iterable[MarginGroup]) -> list[MarginGroup]:
    return sorted(groups, key=lambda group: (-group.margin_minor, group.name))
