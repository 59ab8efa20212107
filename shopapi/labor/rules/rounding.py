"""What rounding the punches would change for each member. Stored stamps are never rounded.

29 CFR 785.48(b) accepts rounding to the nearest 5 minutes, tenth or quarter of an hour, provided that over time people
are paid for all the time they worked. This computes whether they are.
Twin: `pwa/src/domain/labor/rounding.ts`.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from shopapi.labor.rules.spans import WorkSpan

STEPS = (5, 6, 15)


@dataclass(frozen=True)
class Bias:
    """A member's time in seconds: as worked, and as rounded by each step in minutes."""

    member_id: UUID
    spans: int
    seconds: int
    rounded: Mapping[int, int]

    def bias(self, step: int) -> int:
        """Rounded minus worked seconds; below zero the member would lose time."""
        return self.rounded[step] - self.seconds

    @property
    def against(self) -> list[int]:
        """The steps by which the member would lose time."""
        return [step for step in self.rounded if self.bias(step) < 0]


def rounded(moment: datetime, step_minutes: int, zone: str) -> datetime:
    """Round to the nearest multiple of the step on the shop's local clock; half way rounds up.

    >>> rounded(datetime(2026, 11, 25, 15, 7, 30, tzinfo=UTC), 15, "America/Boise").isoformat()
    '2026-11-25T15:15:00+00:00'
    """
    offset = ZoneInfo(zone).utcoffset(moment.astimezone(ZoneInfo(zone)))
    ahead = 0 if offset is None else round(offset.total_seconds())
    step = step_minutes * 60
    shown = moment.timestamp() + ahead
    return datetime.fromtimestamp((shown + step / 2) // step * step - ahead, UTC)


def biases(spans: Iterable[WorkSpan], zone: str, steps: tuple[int, ...] = STEPS) -> list[Bias]:
    """Each member's time by each step, with both punches of every span rounded."""
    members: dict[UUID, list[WorkSpan]] = {}
    for span in spans:
        members.setdefault(span.member_id, []).append(span)
    return [
        Bias(
            member_id,
            len(theirs),
            sum(span.seconds for span in theirs),
            {
                step: sum(
                    round((rounded(s.ended_at, step, zone) - rounded(s.started_at, step, zone)).total_seconds())
                    for s in theirs
                )
                for step in steps
            },
        )
        for member_id, theirs in sorted(members.items(), key=lambda item: str(item[0]))
    ]
