"""Warranty of work and parts by line: for so many days, so many hours of the meter, or until the earlier of both.

Both ends are included: the last day and the last hour are covered. A line without days and hours has no warranty.
Twin: `pwa/src/domain/billing/warranty.ts`; both run `fixtures/billing/warranty.json` and `credited_lines.json`.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Literal
from uuid import UUID

from typing_extensions import TypeAliasType

WarrantyState = TypeAliasType(
    "WarrantyState", Literal["none", "covered", "over_by_days", "over_by_hours", "cannot_say"]
)


@dataclass(frozen=True, slots=True)
class MeterHours:
    """A reading of the hour meter; a replaced meter begins a new segment."""

    segment: int
    hours: Decimal
    read_on: date


@dataclass(frozen=True, slots=True)
class WarrantyTerms:
    """`from_on`: the day of the invoice, from which its PDF counts too."""

    from_on: date
    days: int | None
    hours: Decimal | None

    @property
    def through(self) -> date | None:
        """The last day that is covered."""
        return None if self.days is None else self.from_on + timedelta(days=self.days)


@dataclass(frozen=True, slots=True)
class WarrantyStanding:
    """Whether a line is covered on a day, and until when.

    `through`: the last day. `through_hours`: the last hour as the present meter shows it. Each is None where the line
    has no such end; the hours also where the meter was not read by the start.
    """

    state: WarrantyState
    through: date | None
    through_hours: Decimal | None


@dataclass(frozen=True, slots=True)
class _Run:
    """What one segment of the meter showed first and last, from the start on."""

    first: Decimal
    last: Decimal

    @property
    def hours(self) -> Decimal:
        # A reading lower than the one before is a mistake, not time that ran backwards.
        return max(self.last - self.first, Decimal(0))


def _runs(readings: Sequence[MeterHours], from_on: date, through: date) -> list[_Run]:
    """The segments of the meter between two days, both included; empty without a reading by the first of them."""
    known = sorted((one for one in readings if one.read_on <= through), key=lambda one: (one.segment, one.read_on))
    before = [one for one in known if one.read_on <= from_on]
    if not before:
        return []
    start = before[-1]
    found = []
    for segment in sorted({one.segment for one in known if one.segment >= start.segment}):
        read = [one.hours for one in known if one.segment == segment]
        found.append(_Run(start.hours if segment == start.segment else read[0], read[-1]))
    return found


def hours_run(readings: Sequence[MeterHours], from_on: date, through: date) -> Decimal | None:
    """Hours of the meter between two days, both included; None without a reading by the first of them.

    The meter at the start is the last reading by `from_on`. Over a replaced meter the hours of each segment are added:
    what ran between the last reading of the old meter and the first of the new one is not known and not counted.

    >>> read = [MeterHours(1, Decimal(200), date(2026, 5, 1)), MeterHours(1, Decimal("212.5"), date(2026, 7, 1))]
    >>> hours_run(read, date(2026, 5, 3), date(2026, 8, 1))
    Decimal('12.5')
    """
    runs = _runs(readings, from_on, through)
    return sum((run.hours for run in runs), Decimal(0)) if runs else None


def warranty_state(terms: WarrantyTerms, on: date, readings: Sequence[MeterHours]) -> WarrantyState:
    """Whether a line is covered on a day.

    `cannot_say`: it depends on hours, and the meter was not read by the start or not after it.
    """
    if terms.days is None and terms.hours is None:
        return "none"
    if terms.through is not None and on > terms.through:
        return "over_by_days"
    if terms.hours is None:
        return "covered"
    run = hours_run(readings, terms.from_on, on)
    if run is not None and run > terms.hours:
        return "over_by_hours"
    read_since = any(terms.from_on < one.read_on <= on for one in readings)
    if run is None or (on > terms.from_on and not read_since):
        return "cannot_say"
    return "covered"


def warranty_standing(terms: WarrantyTerms, on: date, readings: Sequence[MeterHours]) -> WarrantyStanding:
    """Whether a line is covered on a day, and until when.

    >>> read = [MeterHours(1, Decimal(200), date(2026, 5, 1)), MeterHours(2, Decimal(3), date(2026, 6, 1))]
    >>> warranty_standing(WarrantyTerms(date(2026, 5, 1), None, Decimal(50)), date(2026, 6, 2), read).through_hours
    Decimal('53')
    """
    through_hours = None
    runs = _runs(readings, terms.from_on, on)
    if terms.hours is not None and runs:
        *earlier, present = runs
        through_hours = present.first + terms.hours - sum((run.hours for run in earlier), Decimal(0))
    return WarrantyStanding(warranty_state(terms, on, readings), terms.through, through_hours)


@dataclass(frozen=True, slots=True)
class LineMark:
    """By what a line of a credit note is known as one of its invoice: a note keeps these of the line it takes over."""

    position: int
    kind: str
    quote_line_id: UUID | None
    need_id: UUID | None


def not_credited(lines: Sequence[LineMark], credited: Iterable[LineMark]) -> list[int]:
    """The indexes of the lines of an invoice that no credit note takes back; each credited line takes back one."""
    taken = Counter(credited)
    left = []
    for index, line in enumerate(lines):
        if taken[line]:
            taken[line] -= 1
        else:
            left.append(index)
    return left
