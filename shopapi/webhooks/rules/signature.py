"""Signatures of deliveries by the open specification "Standard Webhooks" (version 1, symmetric)."""

import hashlib
import hmac
from base64 import b64decode, b64encode
from collections.abc import Iterable

SECRET_BYTES = 32
_PREFIX = "whsec_"


def shown_secret(key: bytes) -> str:
    """A secret as people copy it."""
    return f"{_PREFIX}{b64encode(key).decode()}"


def sign(secret: str, message_id: str, timestamp: int, body: bytes) -> str:
    """The signature of one delivery: HMAC-SHA256 over id, timestamp (seconds since 1970) and body, joined by dots.

    The example of the specification's reference libraries:

    >>> secret = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw"
    >>> sign(secret, "msg_p5jXN8AQM9LWM0D4loKWxJek", 1614265330, b'{"test": 2432232314}')
    'v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE='
    """
    content = b".".join((message_id.encode(), str(timestamp).encode(), body))
    key = b64decode(secret.removeprefix(_PREFIX))
    return f"v1,{b64encode(hmac.new(key, content, hashlib.sha256).digest()).decode()}"


def headers_of(secrets: Iterable[str], message_id: str, timestamp: int, body: bytes) -> dict[str, str]:
    """The headers of a delivery; with several secrets several signatures, each of which suffices."""
    return {
        "Content-Type": "application/json",
        "User-Agent": "Drawbar webhooks",
        "webhook-id": message_id,
        "webhook-timestamp": str(timestamp),
        "webhook-signature": " ".join(sign(secret, message_id, timestamp, body) for secret in secrets),
    }
