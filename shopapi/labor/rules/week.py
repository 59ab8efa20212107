"""Members' days and weeks, and the shop's efficiency and recovery.

Twin of the sums: `pwa/src/domain/labor/week.ts`. Seconds throughout; only display and the rounding report round.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from uuid import UUID

from shopapi.labor.rules.spans import Day, WorkSpan, split_by_day

JOB_KIND_NAMES = frozenset({"repair", "diagnosis", "rework"})
PER_HUNDRED = 100


@dataclass(frozen=True)
class MemberDay:
    """One member's day: when it began and ended, and the seconds of each kind."""

    member_id: UUID
    on: date
    began_at: datetime
    ended_at: datetime
    kinds: Mapping[str, int]

    @property
    def seconds(self) -> int:
        return sum(self.kinds.values())


def member_days(spans: Iterable[WorkSpan], days: Sequence[Day]) -> list[MemberDay]:
    """The days on which each member worked, sorted by member and day.

    The drive home at the end of the day is not clocked, so it is not included; a drive from job to job or back to the
    shop is (29 CFR 785.38).
    """
    found: dict[tuple[UUID, date], list[WorkSpan]] = {}
    for on, part in split_by_day(spans, days):
        found.setdefault((part.member_id, on), []).append(part)
    return [
        MemberDay(
            member_id,
            on,
            min(part.started_at for part in parts),
            max(part.ended_at for part in parts),
            seconds_by_kind(parts),
        )
        for (member_id, on), parts in sorted(found.items(), key=lambda item: (str(item[0][0]), item[0][1]))
    ]


def seconds_by_kind(spans: Iterable[WorkSpan]) -> dict[str, int]:
    """Seconds per kind, sorted by kind."""
    found: dict[str, int] = {}
    for span in spans:
        found[span.kind] = found.get(span.kind, 0) + span.seconds
    return dict(sorted(found.items()))


def on_jobs(kinds: Mapping[str, int]) -> int:
    """Seconds of work on jobs."""
    return sum(seconds for kind, seconds in kinds.items() if kind in JOB_KIND_NAMES)


def rework_per_hundred(kinds: Mapping[str, int]) -> Fraction | None:
    """Hours of rework per hundred hours on jobs; None without hours on jobs."""
    whole = on_jobs(kinds)
    return Fraction(PER_HUNDRED * kinds.get("rework", 0), whole) if whole else None


def efficiency(billed_seconds: int, clocked_seconds: int) -> Fraction | None:
    """Billed hours in percent of the hours clocked on jobs; None when none were clocked."""
    return Fraction(100 * billed_seconds, clocked_seconds) if clocked_seconds else None


def recovery(billed_seconds: int, paid_seconds: int) -> Fraction | None:
    """Billed hours in percent of all paid hours, including shop time and travel; None when none were paid."""
    return Fraction(100 * billed_seconds, paid_seconds) if paid_seconds else None
