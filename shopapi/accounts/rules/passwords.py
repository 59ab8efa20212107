"""Passwords that people choose."""

from typing import Annotated

from pydantic import Field

from shopapi.core.schema import Schema, Secret

# A new password of a person.
NewPassword = Annotated[Secret, Field(min_length=12, max_length=128)]


class PasswordChange(Schema):
    """A member's new password, with their current one."""

    old: Annotated[Secret, Field(max_length=128)]
    new: NewPassword
