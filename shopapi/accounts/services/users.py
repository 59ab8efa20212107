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


def refuse_weak_password(password: str, user: User, *, field: str) -> None:
    try:
        validate_password(password, user)
    except ValidationError as error:
        fault = FieldError(field, "weak_password", text=" ".join(error.messages))
        raise Invalid("weak_password", reason=fault.reason, fields=[fault]) from None


def make_user(email: str, password: str) -> User:
    try:
        with transaction.atomic():
            return User.objects.create(email=email, sign_in=sign_in_name(email), password=make_password(password))
    except IntegrityError:
        raise Invalid("email_taken", fields=[FieldError("email", "email_taken")]) from None
