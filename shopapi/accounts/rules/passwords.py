"""Passwords that people choose."""

from typing import Annotated

from pydantic import Field

from shopapi.core.schema import Schema, Secret

# What a person takes as their own password.
NewPassword = Annotated[Secret, Field(min_length=12, max_length=128)]


class PasswordChange(Schema):
    """A member's own new password, with the one that they have until then."""

    old: Annotated[Secret, Field(max_length=128)]
    new: NewPassword
