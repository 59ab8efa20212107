"""Secret addresses of documents: the shop, a row and a signature, so that no table holds a secret.

The signature is an HMAC-SHA256 under a key derived from the installation's key, cut to 128 bits. A purpose keeps the
addresses of one kind of row from naming another.
"""

import base64
import binascii
import hashlib
import hmac
from uuid import UUID

from django.conf import settings

ID_BYTES, SIGNATURE_BYTES = 16, 16


def token_of(purpose: bytes, shop_id: UUID, row_id: UUID) -> str:
    """The secret part of an address: 64 characters of base64url."""
    named = shop_id.bytes + row_id.bytes
    return base64.urlsafe_b64encode(named + _sign(purpose, named, settings.SECRET_KEY)).decode()


def read_token(purpose: bytes, token: str) -> tuple[UUID, UUID] | None:
    """The shop and the row of a secret, or None for one that was not made here for this purpose."""
    try:
        raw = base64.b64decode(token, altchars=b"-_", validate=True)
    except (binascii.Error, ValueError):
        return None
    named, signature = raw[: 2 * ID_BYTES], raw[2 * ID_BYTES :]
    if len(named) != 2 * ID_BYTES or len(signature) != SIGNATURE_BYTES:
        return None
    keys = (settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS)
    if not any(hmac.compare_digest(signature, _sign(purpose, named, key)) for key in keys):
        return None
    return UUID(bytes=named[:ID_BYTES]), UUID(bytes=named[ID_BYTES:])


def _sign(purpose: bytes, named: bytes, key: str) -> bytes:
    own = hmac.new(key.encode(), purpose, hashlib.sha256).digest()
    return hmac.new(own, named, hashlib.sha256).digest()[:SIGNATURE_BYTES]
