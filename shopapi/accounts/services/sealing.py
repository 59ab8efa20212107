"""Secrets that must be read again: stored encrypted with a key derived from the server's, one for each `use`."""

import hashlib
import hmac
from base64 import urlsafe_b64encode

from cryptography.fernet import Fernet, InvalidToken, MultiFernet
from django.conf import settings


def _cipher(use: str) -> MultiFernet:
    keys = (settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS)
    own = (hmac.new(key.encode(), f"shopapi.{use}".encode(), hashlib.sha256).digest() for key in keys)
    return MultiFernet([Fernet(urlsafe_b64encode(key)) for key in own])


def sealed(secret: str, *, use: str) -> str:
    """A secret as it is stored."""
    return _cipher(use).encrypt(secret.encode()).decode()


def opened(stored: str, *, use: str) -> str | None:
    """The secret; None where the server's key it was stored with is gone: a new one has to be made."""
    try:
        return _cipher(use).decrypt(stored.encode()).decode()
    except InvalidToken:
        return None
