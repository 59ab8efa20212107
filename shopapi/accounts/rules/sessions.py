"""Sessions of a person: how long one lasts, and how it is listed."""

import re
from datetime import datetime, timedelta
from typing import Annotated
from uuid import UUID

from pydantic import AwareDatetime, Field

from shopapi.core.schema import Schema

CONTACT_EVERY = timedelta(minutes=30)
"""So often the last contact of a session is written down, and no more often: each is two writes."""


class SessionRow(Schema):
    """A browser on which the person is signed in."""

    id: UUID
    current: Annotated[bool, Field(description="Whether it is the one that asks.")]
    label: Annotated[str, Field(description="The browser and its system, as it names them.")]
    network: Annotated[str, Field(description="The network of its last contact: an IPv4 address, or a block of IPv6.")]
    devices: Annotated[list[str], Field(description="The letters of the devices that it syncs as.")]
    begun_at: Annotated[AwareDatetime, Field(description="When it signed in.")]
    seen_at: Annotated[AwareDatetime, Field(description="Its last contact, to within half an hour.")]


class SessionRows(Schema):
    """The browsers on which the person is signed in, the latest contact first."""

    rows: Annotated[list[SessionRow], Field(description="One for each.")]


def has_ended(
    *, begun_at: datetime | None, seen_at: datetime | None, at: datetime, idle: timedelta, longest: timedelta
) -> bool:
    """Whether a session has ended by itself: too long without contact, or too old.

    Both count from what the server saw, so a phone without a signal ends no sooner. A session of before these limits
    has no times; its first contact gives it some.

    >>> noon, day = datetime(2026, 5, 4, 12), timedelta(days=1)
    >>> has_ended(begun_at=noon, seen_at=noon, at=noon + 30 * day, idle=30 * day, longest=90 * day)
    True
    >>> has_ended(begun_at=noon, seen_at=noon + 29 * day, at=noon + 30 * day, idle=30 * day, longest=90 * day)
    False
    """
    if begun_at is not None and at - begun_at >= longest:
        return True
    last = seen_at or begun_at
    return last is not None and at - last >= idle


# In this order: browsers name those before them as well.
_BROWSERS = {
    "Edg": "Edge",
    "OPR": "Opera",
    "Firefox": "Firefox",
    "FxiOS": "Firefox",
    "Chrome": "Chrome",
    "CriOS": "Chrome",
    "Safari": "Safari",
}
_SYSTEMS = {
    "iPhone": "iPhone",
    "iPad": "iPad",
    "Android": "Android",
    "CrOS": "ChromeOS",
    "Windows": "Windows",
    "Macintosh": "Mac",
    "Linux": "Linux",
}


def browser_label(agent: str) -> str:
    """The browser and its system in a `User-Agent`, for people; what it names neither of is "".

    >>> browser_label("Mozilla/5.0 (Linux; Android 15) AppleWebKit/537.36 Chrome/141.0 Mobile Safari/537.36")
    'Chrome, Android'
    """
    found = (
        next((name for mark, name in table.items() if re.search(rf"\b{mark}\b", agent)), "")
        for table in (_BROWSERS, _SYSTEMS)
    )
    return ", ".join(filter(None, found))
