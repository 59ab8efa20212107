"""One-time codes of an authenticator app (RFC 6238: SHA-1, 6 digits, 30 seconds, which every app knows)."""

import base64
import hmac
from datetime import datetime
from urllib.parse import quote, urlencode

STEP_SECONDS = 30


DIGITS = 6


TOTP_SECRET_BYTES = 20
"""As long as the hash (RFC 4226, section 4, R6)."""


DRIFT_STEPS = 1
"""Codes of the step before and after count as well: the clocks of two devices differ (RFC 6238, section 5.2)."""


def hotp(secret: bytes, counter: int, digits: int = DIGITS) -> str:
    """The code for a counter (RFC 4226, section 5.3).

    >>> hotp(b"12345678901234567890", 0)  # RFC 4226, appendix D
    '755224'
    """
    digest = hmac.digest(secret, counter.to_bytes(8, "big"), "sha1")
    offset = digest[-1] & 0xF
    number = int.from_bytes(digest[offset : offset + 4], "big") & 0x7FFFFFFF
    return f"{number % 10**digits:0{digits}}"


def step_of(at: datetime) -> int:
    """The time step of an instant."""
    return int(at.timestamp()) // STEP_SECONDS


def matching_step(secret: bytes, code: str, at: datetime, *, after: int) -> int | None:
    """The time step of which this is the code, later than `after`, the last one used; None where it is none."""
    now = step_of(at)
    steps = range(max(now - DRIFT_STEPS, after + 1), now + DRIFT_STEPS + 1)
    return next((step for step in steps if hmac.compare_digest(hotp(secret, step).encode(), code.encode())), None)


def totp_uri(secret: bytes, account: str, issuer: str) -> str:
    """The address that an app reads from a code on the screen (`otpauth`, a convention of authenticator apps)."""
    given = {"secret": base32(secret), "issuer": issuer, "digits": DIGITS, "period": STEP_SECONDS}
    return f"otpauth://totp/{quote(f'{issuer}:{account}')}?{urlencode(given, quote_via=quote)}"


def base32(secret: bytes) -> str:
    """A secret as a person types it into an app."""
    return base64.b32encode(secret).decode().rstrip("=")
