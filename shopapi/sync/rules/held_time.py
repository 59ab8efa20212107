"""A span of clocked time that is held and not booked."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from shopapi.core.schema import to_json


@dataclass(frozen=True)
class HeldTime:
    """A span of time that was clocked and is not booked. `ended_at` None: no end has been received."""

    started_at: datetime
    ended_at: datetime | None


def time_to_json(time: HeldTime) -> dict[str, Any]:
    """A span as JSON for an issue; `seconds` only where it has ended after it began.

    >>> from datetime import UTC
    >>> time_to_json(HeldTime(datetime(2026, 5, 1, 8, tzinfo=UTC), datetime(2026, 5, 1, 9, 30, tzinfo=UTC)))["seconds"]
    5400
    """
    shown: dict[str, Any] = {"started_at": to_json(time.started_at)}
    if time.ended_at is not None:
        shown["ended_at"] = to_json(time.ended_at)
        seconds = int((time.ended_at - time.started_at).total_seconds())
        shown |= {"seconds": seconds} if seconds > 0 else {}
    return shown
