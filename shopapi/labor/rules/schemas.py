"""Schemas of reports on clocked time and of the synced work history. Seconds unless said otherwise."""

from datetime import date
from uuid import UUID

from pydantic import AwareDatetime

from shopapi.core.schema import DecimalText, MinorUnits, Row, Schema
from shopapi.labor.rules.entry import EntryKind, EntryState
from shopapi.labor.rules.history import Level


class WorkHistoryRow(Row):
    """How long one operation took on one kind of machine: minutes of its latest finished jobs, shortest first.

    Both names are in lower case; `reworked` of the jobs had rework, which their minutes include.
    """

    operation: str
    machine_kind: str
    minutes: list[int]
    reworked: int


class KindSeconds(Schema):
    kind: EntryKind
    seconds: int


class MemberDayRow(Schema):
    """One member's day: when work began and ended."""

    member_id: UUID
    name: str
    on: date
    began_at: AwareDatetime
    ended_at: AwareDatetime
    seconds: int
    kinds: list[KindSeconds]


class TotalRow(Schema):
    """Sums of one member, or of all (`member_id` None). `over_seconds`: beyond the week's threshold (weeks only)."""

    member_id: UUID | None
    name: str
    seconds: int
    kinds: list[KindSeconds]
    over_seconds: int | None
    rework_per_hundred: DecimalText | None


class ApartRow(Schema):
    """Time excluded from the sums: it runs (`ended_at` None) or is in dispute."""

    id: UUID
    member_id: UUID
    name: str
    job_id: UUID | None
    kind: EntryKind
    state: EntryState
    started_at: AwareDatetime
    ended_at: AwareDatetime | None


class HoursReport(Schema):
    zone: str
    first: date
    last: date
    days: list[MemberDayRow]
    members: list[TotalRow]
    all: TotalRow
    apart: list[ApartRow]


class StepRow(Schema):
    """A member's time rounded to a step in minutes; with `bias` below zero the member would lose time."""

    minutes: int
    seconds: int
    bias: int
    against: bool


class RoundingRow(Schema):
    member_id: UUID
    name: str
    spans: int
    seconds: int
    steps: list[StepRow]


class RoundingReport(Schema):
    """`warning` is empty unless somebody would lose time by a step."""

    zone: str
    first: date
    last: date
    members: list[RoundingRow]
    warning: str
    apart: list[ApartRow]


class OvertimePay(Schema):
    """Pay of a week at the rates given. Nothing is stored. `note` says what is not covered."""

    member_id: UUID
    first: date
    last: date
    seconds: int
    over_seconds: int
    after_hours: DecimalText
    multiplier: DecimalText
    straight_minor: MinorUnits
    regular_rate_minor: DecimalText
    premium_minor: MinorUnits
    total_minor: MinorUnits
    apart: list[ApartRow]
    note: str


class HeldRow(Schema):
    """How often past intervals contained the actual time; `promised` is how many should have, by the stated coverage.

    `promised` is None where none was stated: the interval was computed from other kinds' jobs.
    """

    level: Level
    asked: int
    held: int
    promised: DecimalText | None


class HeldReport(Schema):
    works: int
    rows: list[HeldRow]
