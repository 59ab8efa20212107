"""Shapes: what may come in and what goes out, checked once for REST, the phone's queue and re-runs alike."""

import json
import re
from collections.abc import Mapping
from datetime import MAXYEAR, MINYEAR, UTC, date, datetime
from decimal import Decimal
from typing import Annotated, Any, Self, TypeVar
from uuid import UUID

from pydantic import (
    AfterValidator,
    AwareDatetime,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainSerializer,
    ValidationError,
    WithJsonSchema,
)

from shopapi.core.errors import FieldError, Invalid
from shopapi.core.money import plain_decimal

PLAIN_DECIMAL = re.compile(r"-?[0-9]{1,12}(\.[0-9]{1,6})?")
# PostgreSQL text cannot hold NUL, and UTF-8 cannot hold a lone surrogate: both are refused at the door.
UNSTORABLE = re.compile("[\x00\ud800-\udfff]")

WORDS_FOR = {
    "missing": "This is needed.",
    "extra_forbidden": "This field is not known here; leave it out.",
    "string_too_long": "Too long: at most {max_length} characters.",
    "string_too_short": "This may not be empty.",
    "too_long": "Too long: at most {max_length} are taken.",
    "too_short": "This may not be empty.",
    "decimal_text": 'Write a plain number in quotes, such as "1.25".',
    "unstorable_moment": "This is too far from today to be kept; give a date between the years 2 and 9998.",
    "unstorable_text": "This text holds a character that cannot be kept (NUL or half of a pair); take it out.",
}


def _plain_decimal(value: object) -> object:
    """Only text in plain notation: a JSON number has been a float somewhere and cannot be trusted with money."""
    if isinstance(value, Decimal):
        value = format(value, "f")
    if isinstance(value, str) and PLAIN_DECIMAL.fullmatch(value):
        return Decimal(value)
    raise ValueError("decimal_text")


def _storable(value: str) -> str:
    if UNSTORABLE.search(value):
        raise ValueError("unstorable_text")
    return value


def _storable_moment(value: datetime) -> datetime:
    """What stands in year 9999 here stands in year 10000 or 0 elsewhere: PostgreSQL keeps it and Python cannot read it.

    One such row would stop every device of its shop from pulling.
    """
    try:
        if MINYEAR < value.astimezone(UTC).year < MAXYEAR:
            return value
    except OverflowError:
        pass
    raise ValueError("unstorable_moment")


DecimalText = Annotated[
    Decimal,
    BeforeValidator(_plain_decimal),
    PlainSerializer(plain_decimal, return_type=str),
    WithJsonSchema({"type": "string", "format": "decimal", "examples": ["1.25"]}),
]
Text = Annotated[str, AfterValidator(_storable)]
Name = Annotated[Text, Field(min_length=1, max_length=120)]
Label = Annotated[Text, Field(max_length=120)]
Words = Annotated[Text, Field(min_length=1, max_length=2000)]
Aside = Annotated[Text, Field(max_length=2000)]
Notes = Annotated[Text, Field(max_length=4000)]
# An instant as it comes from outside, with its offset.
Moment = Annotated[AwareDatetime, AfterValidator(_storable_moment)]
Minor = Annotated[int, Field(ge=-(10**11), le=10**11)]


class Shape(BaseModel):
    """Base of everything that crosses a border: frozen, strict, unknown fields refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


class Row(Shape):
    """A row as every device sees it. Built from a model instance by attribute names."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, from_attributes=True)

    id: UUID
    created_at: AwareDatetime
    changed_at: AwareDatetime

    @classmethod
    def of(cls, instance: object) -> Self:
        return cls.model_validate(instance)


class Edit(Shape):
    """Changes to named fields of one row, with the values the person saw when making them.

    `base` and `set` carry the same keys; what may stand in `set` is the edited noun's own shape.
    """

    id: UUID
    base: dict[str, Any]
    set: dict[str, Any]


class Target(Shape):
    """Names one row."""

    id: UUID


S = TypeVar("S", bound=Shape)


def decode(shape: type[S], payload: object) -> S:
    """Check a JSON-like payload against a shape.

    Raises Invalid with one FieldError for each fault, its path in dots.
    """
    try:
        # Strict checking of JSON text admits "2026-01-31" for a date but not "3" for a whole number.
        return shape.model_validate_json(json.dumps(payload))
    except UnicodeEncodeError:
        words = WORDS_FOR["unstorable_text"]
        raise Invalid("invalid", words, fields=[FieldError("", "unstorable_text", words)]) from None
    except ValidationError as error:
        raise Invalid("invalid", "Some fields need mending.", fields=_faults(error)) from None
    except RecursionError:
        words = "This is nested too deeply."
        raise Invalid("invalid", words, fields=[FieldError("", "too_deep", words)]) from None


def _faults(error: ValidationError) -> list[FieldError]:
    faults = []
    for fault in error.errors(include_url=False, include_input=False):
        code = fault["type"]
        if code == "value_error":
            code = str(fault["ctx"]["error"])
        # Only our own words have places to fill in: pydantic's may quote a pattern with braces.
        words = WORDS_FOR[code].format(**fault.get("ctx", {})) if code in WORDS_FOR else fault["msg"] + "."
        faults.append(FieldError(".".join(str(part) for part in fault["loc"]), code, words))
    return faults


def plain(value: object) -> Any:
    """A value as it stands in JSON on the wire: ids, dates and decimals as text."""
    if isinstance(value, BaseModel):
        return value.model_dump(mode="json")
    if isinstance(value, UUID):
        return str(value)
    if isinstance(value, Decimal):
        return plain_decimal(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {key: plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple | frozenset | set):
        return [plain(item) for item in value]
    return value
