import pytest
from pytest_django import Settings


@pytest.fixture(autouse=True)
def _quick_passwords(settings: Settings) -> None:
    """Nobody signs in by password here; the right hash, slow by design, is tested with the session."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
