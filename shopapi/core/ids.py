"""UUID version 7 (RFC 9562, section 5.7): sortable by time, mintable by any phone without asking."""

import secrets
import time
from uuid import UUID

VERSION = 0x7 << 76
VARIANT = 0b10 << 62


def uuid7(at_ms: int | None = None) -> UUID:
    """A new id; `at_ms` is Unix time in milliseconds, the present by default."""
    stamp = time.time_ns() // 1_000_000 if at_ms is None else at_ms
    return UUID(int=stamp << 80 | VERSION | secrets.randbits(12) << 64 | VARIANT | secrets.randbits(62))


def millis_of(value: UUID) -> int:
    """The Unix time in milliseconds that a version 7 id carries."""
    return value.int >> 80
