"""Comebacks of a period: how many, against the jobs finished in it, and what they cost.

Conventions (common practice, no source):
- A comeback is in the period in which it was opened. A cancelled one does not count.
- A job is finished in the period in which its last work was clocked; one without clocked work, in that in which it was
  opened. The share is comebacks per hundred finished jobs: an old job may come back in a quiet period, so it can exceed
  one hundred.
- What a comeback costs: all hours clocked on it, travel and errands too, at what an hour costs the shop, and the cost
  of the parts fitted. Of parts without a known cost the number is said, they count 0. Not billed is what of it exceeds
  what was billed on the comeback, without tax.
- It counts for the members who worked on the first job, and for each named work of that job. Its cost is shared among
  the members by their hours on the first job, among the works in equal parts, to the cent by largest remainder.

Twin of the cost: `pwa/src/domain/billing/comebackCost.ts`; both run `fixtures/billing/comeback_costs.json`.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Literal
from uuid import UUID

from typing_extensions import TypeAliasType

from shopapi.accounts.rules import Permission
from shopapi.core.money import round_half, share_out
from shopapi.core.schema import DecimalText, Schema, SeenWith

HOUR = 3600

SeenCost = Annotated[int | None, SeenWith(Permission.SEE_COST, instead=None)]
ComebackWarranty = TypeAliasType("ComebackWarranty", Literal["covered", "cannot_say", "over", "none"])
"""What the lines billed on the first job say when the comeback is opened; the best of them counts."""


class ComebackReportRow(Schema):
    """One comeback. Costs are None where they may not be seen, that of labor also without the cost of an hour."""

    job_id: UUID
    job: str
    first_id: UUID
    first: str
    kind: str
    opened_on: date
    warranty: ComebackWarranty
    clocked_seconds: int
    billed_minor: int
    labor_cost_minor: SeenCost
    parts_cost_minor: SeenCost
    unbilled_cost_minor: SeenCost
    unknown_costs: int


class ComebackGroup(Schema):
    """Comebacks of a kind of work, of a member or of all; `jobs`: the comebacks. An empty name: no named work."""

    name: str
    member_id: UUID | None
    comebacks: int
    finished: int
    percent: DecimalText | None
    unbilled_cost_minor: SeenCost
    jobs: list[UUID]


class ComebacksReport(Schema):
    """`members`: the asking member alone where the hours of others may not be seen."""

    zone: str
    first: date
    last: date
    minor_digits: int
    whole: ComebackGroup
    works: list[ComebackGroup]
    members: list[ComebackGroup]
    comebacks: list[ComebackReportRow]


@dataclass(frozen=True)
class ComebackCost:
    """What a comeback cost and brought, in minor units; `hour_minor` None: what an hour costs was not entered."""

    seconds: int
    hour_minor: int | None
    parts_minor: int
    billed_minor: int

    @property
    def labor_minor(self) -> int | None:
        """Rounded to the cent, half away from zero."""
        if self.hour_minor is None:
            return None
        return round_half(Fraction(self.seconds * self.hour_minor, HOUR), "half_away")

    @property
    def unbilled_minor(self) -> int | None:
        """What of the cost was not billed; nothing below zero.

        >>> ComebackCost(5400, 4_000, 1_250, 0).unbilled_minor, ComebackCost(5400, 4_000, 0, 9_000).unbilled_minor
        (7250, 0)
        """
        if self.labor_minor is None:
            return None
        return max(0, self.labor_minor + self.parts_minor - max(0, self.billed_minor))


@dataclass(frozen=True)
class FinishedJob:
    """A job that was finished: its named works, and the seconds of each member on it."""

    works: Sequence[str]
    clocked: Mapping[UUID, int]


@dataclass(frozen=True)
class Comeback:
    """A comeback with the job whose work came back."""

    job_id: UUID
    first: FinishedJob
    unbilled_minor: int | None


def per_hundred(comebacks: int, finished: int) -> Decimal | None:
    """Comebacks per hundred finished jobs, to a tenth; None where none was finished.

    >>> per_hundred(1, 8), per_hundred(0, 0)
    (Decimal('12.5'), None)
    """
    if not finished:
        return None
    return Decimal(round_half(Fraction(comebacks * 1000, finished), "half_away")).scaleb(-1)


def whole_group(comebacks: Sequence[Comeback], finished: Sequence[FinishedJob]) -> ComebackGroup:
    return _group("", None, [(one.job_id, one.unbilled_minor) for one in comebacks], len(finished))


def by_work(comebacks: Sequence[Comeback], finished: Sequence[FinishedJob]) -> list[ComebackGroup]:
    """One group per named work, whatever its capitals; the most comebacks first."""
    spoken: dict[str, str] = {}
    for one in comebacks:
        for work in one.first.works:
            spoken.setdefault(_key(work), work.strip())
    parts: dict[str, list[tuple[UUID, int | None]]] = defaultdict(list)
    for one in comebacks:
        works = _named(one.first)
        shares = _shared(one.unbilled_minor, [1] * len(works))
        for work, share in zip(works, shares, strict=True):
            parts[work].append((one.job_id, share))
    of = [work for job in finished for work in _named(job)]
    return _sorted(_group(spoken.get(work, ""), None, part, of.count(work)) for work, part in parts.items())


def by_member(
    comebacks: Sequence[Comeback], finished: Sequence[FinishedJob], names: Mapping[UUID, str]
) -> list[ComebackGroup]:
    """One group per member who worked on a job that came back; the most comebacks first."""
    parts: dict[UUID, list[tuple[UUID, int | None]]] = defaultdict(list)
    for one in comebacks:
        members = sorted(one.first.clocked)
        shares = _shared(one.unbilled_minor, [one.first.clocked[member] for member in members])
        for member, share in zip(members, shares, strict=True):
            parts[member].append((one.job_id, share))
    return _sorted(
        _group(names.get(member, ""), member, part, sum(member in job.clocked for job in finished))
        for member, part in parts.items()
    )


def _named(job: FinishedJob) -> list[str]:
    return sorted({_key(work) for work in job.works} - {""}) or [""]


def _key(work: str) -> str:
    return work.strip().lower()


def _shared(amount: int | None, weights: Sequence[int]) -> list[int | None]:
    if amount is None or not sum(weights):
        return [None] * len(weights)
    return list(share_out(amount, list(weights)))


def _group(name: str, member_id: UUID | None, parts: Sequence[tuple[UUID, int | None]], finished: int) -> ComebackGroup:
    costs = [minor for _, minor in parts if minor is not None]
    return ComebackGroup(
        name=name,
        member_id=member_id,
        comebacks=len(parts),
        finished=finished,
        percent=per_hundred(len(parts), finished),
        unbilled_cost_minor=sum(costs) if len(costs) == len(parts) else None,
        jobs=[job_id for job_id, _ in parts],
    )


def _sorted(groups: Iterable[ComebackGroup]) -> list[ComebackGroup]:
    return sorted(groups, key=lambda group: (-group.comebacks, group.name))
