"""Sign-ins: one address, one password."""

from django.contrib.auth.hashers import make_password
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from shopapi.accounts.models import User
from shopapi.accounts.rules import (
    sign_in_name,
)
from shopapi.core.errors import FieldError, Invalid

# Our sentences for the faults that Django's validators find.
_MESSAGES = {
    "password_too_common": "password_too_common",
    "password_too_similar": "password_like_email",
    "password_entirely_numeric": "password_all_digits",
}


def refuse_weak_password(password: str, user: User, *, field: str) -> None:
    """Refuse a password on the list of common ones, like the address of the user, or of digits alone.

    Raises Invalid `weak_password`, with a fault of the field for each.
    """
    try:
        validate_password(password, user)
    except ValidationError as error:
        faults = [FieldError(field, "weak_password", message=_MESSAGES[str(one.code)]) for one in error.error_list]
        raise Invalid("weak_password", reason=faults[0].reason, fields=faults) from None


def make_user(email: str, password: str) -> User:
    try:
        with transaction.atomic():
            return User.objects.create(email=email, sign_in=sign_in_name(email), password=make_password(password))
    except IntegrityError:
        raise Invalid("email_taken", fields=[FieldError("email", "email_taken")]) from None
