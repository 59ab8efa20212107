"""UUID version 7 (RFC 9562, section 5.7): sortable by time; phones make their own."""

import secrets
from threading import Lock
from uuid import UUID

from shopapi.core import clock

VERSION = 0x7 << 76
VARIANT = 0b10 << 62

# Twelve bits below the millisecond: 4,096 distinct ids in each (RFC 9562, section 6.2, method 3).
STEPS_PER_MS = 1 << 12

_minting = Lock()
_last_step = 0


def uuid7(at_ms: int | None = None) -> UUID:
    """A new id; `at_ms` is Unix time in milliseconds, the present by default.

    Ids of the present sort in the order this process minted them, many of one millisecond too, so that an audit trail
    or a list of one request's rows never changes its order by chance.
    """
    if at_ms is None:
        stamp, step = divmod(_next_step(), STEPS_PER_MS)
    else:
        stamp, step = at_ms, secrets.randbits(12)
    return UUID(int=stamp << 80 | VERSION | step << 64 | VARIANT | secrets.randbits(62))


def _next_step() -> int:
    global _last_step  # noqa: PLW0603 - the one thing a process must remember to mint in order
    with _minting:
        _last_step = max(clock.machine_time_ns() * STEPS_PER_MS // 1_000_000, _last_step + 1)
        return _last_step


def millis_of(value: UUID) -> int:
    """The Unix time in milliseconds that a version 7 id carries."""
    return value.int >> 80
