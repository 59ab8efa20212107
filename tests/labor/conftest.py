import pytest
from pytest_django import Settings


@pytest.fixture(autouse=True)
def _quick_passwords(settings: Settings) -> None:
    """No test here signs in by password; the real, slow hash is tested with sign-in."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
