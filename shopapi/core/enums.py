"""Enums: the values that a column, a row or an argument may hold, each declared once."""

from enum import StrEnum
from typing import Any, get_args

from pydantic import GetCoreSchemaHandler
from pydantic_core import CoreSchema
from typing_extensions import TypeAliasType


class TextEnum(StrEnum):
    """Base of an enum that is stored as text. A row built from a model instance accepts the stored text for its member.

    Names of enums are unique in the whole project: OpenAPI and the generated types of the phone use them.
    """

    @classmethod
    def __get_pydantic_core_schema__(cls, source: type[Any], handler: GetCoreSchemaHandler) -> CoreSchema:
        # Schemas are strict, and a strict enum would refuse the plain text that Django reads from its column.
        schema: Any = handler(source)
        return {**schema, "strict": False}


def values_of(kind: type[StrEnum] | TypeAliasType) -> tuple[Any, ...]:
    """The values of an enum, or of a named Literal, in their order.

    >>> from typing import Literal
    >>> values_of(TypeAliasType("Side", Literal["left", "right"]))
    ('left', 'right')
    """
    if isinstance(kind, TypeAliasType):
        return get_args(kind.__value__)
    return tuple(member.value for member in kind)


def choices_of(kind: type[StrEnum] | TypeAliasType) -> list[tuple[str, str]]:
    """What a model field takes as `choices`."""
    return [(value, value) for value in values_of(kind)]


class IssueKind(TextEnum):
    """conflict: two people changed the same thing. held: a fact that could not be applied."""

    CONFLICT = "conflict"
    HELD = "held"


class IssueState(TextEnum):
    OPEN = "open"
    RESOLVED = "resolved"


class IssueChoice(TextEnum):
    """theirs: what the server has stays. ours: the command is applied."""

    THEIRS = "theirs"
    OURS = "ours"
