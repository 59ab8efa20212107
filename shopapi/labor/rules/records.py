"""Shapes of reports on clocked time, and of the synced summary of what works took. Seconds unless said otherwise."""

from datetime import date
from uuid import UUID

from pydantic import AwareDatetime

from shopapi.core.shape import DecimalText, Minor, Row, Shape


class WorkHistoryRow(Row):
    """What one work took on one kind of machine: minutes of its latest finished jobs, shortest first.

    Both names are in small letters; `reworked` of the jobs had rework, which is in their minutes.
    """

    operation: str
    machine_kind: str
    minutes: list[int]
    reworked: int


class KindSeconds(Shape):
    kind: str
    seconds: int


class MemberDayRow(Shape):
    """One member's day: when work began and ended in it."""

    member_id: UUID
    name: str
    on: date
    began_at: AwareDatetime
    ended_at: AwareDatetime
    seconds: int
    kinds: list[KindSeconds]


class TotalRow(Shape):
    """Sums of one member, or of all (`member_id` None). `over_seconds`: beyond the week's threshold (weeks only)."""

    member_id: UUID | None
    name: str
    seconds: int
    kinds: list[KindSeconds]
    over_seconds: int | None
    rework_per_hundred: DecimalText | None


class ApartRow(Shape):
    """Time that is in no sum: it runs (`ended_at` None) or is in dispute."""

    id: UUID
    member_id: UUID
    name: str
    job_id: UUID | None
    kind: str
    state: str
    started_at: AwareDatetime
    ended_at: AwareDatetime | None


class HoursReport(Shape):
    zone: str
    first: date
    last: date
    days: list[MemberDayRow]
    members: list[TotalRow]
    all: TotalRow
    apart: list[ApartRow]


class StepRow(Shape):
    """What rounding to a step of minutes would make of a member's time; `bias` below zero goes against them."""

    minutes: int
    seconds: int
    bias: int
    against: bool


class RoundingRow(Shape):
    member_id: UUID
    name: str
    spans: int
    seconds: int
    steps: list[StepRow]


class RoundingReport(Shape):
    """`warning` is empty unless a step would take time from somebody."""

    zone: str
    first: date
    last: date
    members: list[RoundingRow]
    warning: str
    apart: list[ApartRow]


class OvertimePay(Shape):
    """What a week comes to at the rates given. Nothing of it is kept. `note` says what is not reckoned."""

    member_id: UUID
    first: date
    last: date
    seconds: int
    over_seconds: int
    after_hours: DecimalText
    multiplier: DecimalText
    straight_minor: Minor
    regular_rate_minor: DecimalText
    premium_minor: Minor
    total_minor: Minor
    apart: list[ApartRow]
    note: str


class HeldRow(Shape):
    """How often past intervals held: `promised` is how many of the asked should have, by what was stated."""

    level: str
    asked: int
    held: int
    promised: DecimalText


class HeldReport(Shape):
    works: int
    rows: list[HeldRow]
