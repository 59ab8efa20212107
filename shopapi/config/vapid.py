"""The key pair that signs push messages (VAPID, RFC 8292): P-256, both halves as unpadded base64url."""

import base64

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

BYTES = 32


def new_private_key() -> str:
    """A new private key."""
    number = ec.generate_private_key(ec.SECP256R1()).private_numbers().private_value
    return _text(number.to_bytes(BYTES, "big"))


def public_key_of(private: str) -> str:
    """The public key, uncompressed. Raises ValueError when the private one is none."""
    raw = base64.urlsafe_b64decode(private + "=" * (-len(private) % 4))
    if len(raw) != BYTES:
        raise ValueError("not_a_key")
    key = ec.derive_private_key(int.from_bytes(raw, "big"), ec.SECP256R1())
    return _text(key.public_key().public_bytes(Encoding.X962, PublicFormat.UncompressedPoint))


def _text(raw: bytes) -> str:
    return base64.urlsafe_b64encode(raw).decode().rstrip("=")
