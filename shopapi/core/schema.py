"""Schemas of input and output, shared by REST, the phone's queue and re-runs."""

import json
import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import MAXYEAR, MINYEAR, UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Annotated, Any, Generic, Self, TypeVar, get_args
from uuid import UUID

from pydantic import (
    AfterValidator,
    AwareDatetime,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    GetJsonSchemaHandler,
    PlainSerializer,
    ValidationError,
    WithJsonSchema,
)
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema

from shopapi.core.errors import FieldError, Invalid, Reason, context_from_json, context_to_json
from shopapi.core.messages import MESSAGES
from shopapi.core.money import plain_decimal

PLAIN_DECIMAL = re.compile(r"-?[0-9]{1,12}(\.[0-9]{1,6})?")
# PostgreSQL text cannot hold NUL, and UTF-8 cannot hold a lone surrogate: both are refused on input.
UNSTORABLE = re.compile("[\x00\ud800-\udfff]")
# Line breaks and terminal controls: C0, DEL, C1 (NEL among them), Unicode's line and paragraph separators.
CONTROL = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029]")


def _plain_decimal(value: object) -> object:
    """Accept only text in plain notation: a JSON number has been a float somewhere and may have lost digits."""
    if isinstance(value, Decimal):
        value = format(value, "f")
    if isinstance(value, str) and PLAIN_DECIMAL.fullmatch(value):
        return Decimal(value)
    raise ValueError("decimal_text")


def _storable(value: str) -> str:
    if UNSTORABLE.search(value):
        raise ValueError("unstorable_text")
    return value


def _one_line(value: str) -> str:
    if CONTROL.search(value):
        raise ValueError("control_characters")
    return value


def _storable_moment(value: datetime) -> datetime:
    """Refuse years 1 and 9999: in another zone they are 0 or 10000, which PostgreSQL stores and Python cannot read.

    One such row would stop every device of its shop from pulling. PostgreSQL reads offsets of less than 16 hours alone,
    RFC 3339 allows up to 23:59: such an instant is taken in UTC.
    """
    try:
        utc = value.astimezone(UTC)
        if MINYEAR < utc.year < MAXYEAR:
            return value if abs(value.utcoffset() or NO_OFFSET) < LARGEST_OFFSET else utc
    except OverflowError:
        pass
    raise ValueError("unstorable_moment")


NO_OFFSET, LARGEST_OFFSET = timedelta(0), timedelta(hours=16)


@dataclass(frozen=True)
class SecretMark:
    """Marks the type of a field that holds a secret."""


DecimalText = Annotated[
    Decimal,
    BeforeValidator(_plain_decimal),
    PlainSerializer(plain_decimal, return_type=str),
    WithJsonSchema({"type": "string", "format": "decimal", "examples": ["1.25"]}),
]
Text = Annotated[str, AfterValidator(_storable)]
# A password or the like: never an argument of a command, since commands are logged and shown.
Secret = Annotated[Text, SecretMark()]
Name = Annotated[Text, Field(min_length=1, max_length=120)]
MOST_LABEL = 120
Label = Annotated[Text, Field(max_length=MOST_LABEL)]
# Goes into the header of a message, so it must not contain a line break.
OneLine = Annotated[Text, AfterValidator(_one_line), Field(max_length=120)]
RequiredText = Annotated[Text, Field(min_length=1, max_length=2000)]
OptionalText = Annotated[Text, Field(max_length=2000)]
LongText = Annotated[Text, Field(max_length=4000)]
# An instant from outside, with its UTC offset.
Moment = Annotated[AwareDatetime, AfterValidator(_storable_moment)]
MinorUnits = Annotated[int, Field(ge=-(10**11), le=10**11)]


@dataclass(frozen=True)
class SeenWith:
    """Marks a field, in its annotation, that only members with a permission see; others get `instead`."""

    permission: str
    instead: Any


HIDDEN: dict[str, SeenWith] = {}
"""The marked fields, by name; a name is hidden wherever it occurs."""


class Schema(BaseModel):
    """Base of all input and output: frozen, strict, unknown fields refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    @classmethod
    def __pydantic_init_subclass__(cls, **kwargs: Any) -> None:
        super().__pydantic_init_subclass__(**kwargs)
        for name, field in cls.model_fields.items():
            for mark in field.metadata:
                if isinstance(mark, SeenWith):
                    HIDDEN[name] = mark


def hides_from(permissions: Collection[str]) -> bool:
    """Whether there are fields that a member with these permissions may not see."""
    return any(mark.permission not in permissions for mark in HIDDEN.values())


def seen_with(permissions: Collection[str], value: Any) -> Any:
    """Plain JSON as a member with these permissions may see it: marked fields hidden at any depth.

    >>> HIDDEN["secret_of_a_doctest"] = SeenWith("see_secrets", None)
    >>> seen_with([], {"rows": [{"name": "A", "secret_of_a_doctest": 5}]})
    {'rows': [{'name': 'A', 'secret_of_a_doctest': None}]}
    >>> seen_with(["see_secrets"], {"secret_of_a_doctest": 5})
    {'secret_of_a_doctest': 5}
    >>> del HIDDEN["secret_of_a_doctest"]
    """
    instead = {name: mark.instead for name, mark in HIDDEN.items() if mark.permission not in permissions}
    return _hide(instead, value) if instead else value


def _hide(instead: Mapping[str, Any], value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: instead[key] if key in instead else _hide(instead, item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_hide(instead, item) for item in value]
    return value


def holds_schemas(schema: type[Schema]) -> bool:
    """Whether a field of the schema holds one or more schemas."""
    return any(_names_a_schema(info.annotation) for info in schema.model_fields.values())


def _names_a_schema(annotation: Any) -> bool:
    return any(True for _ in _schemas_in(annotation))


def _schemas_in(annotation: Any) -> Iterator[type[Schema]]:
    annotation = getattr(annotation, "__value__", annotation)
    if isinstance(annotation, type) and not get_args(annotation):
        if issubclass(annotation, Schema):
            yield annotation
    else:
        for part in get_args(annotation):
            yield from _schemas_in(part)


def holds_reasons(schema: type[Schema]) -> bool:
    """Whether a schema is a reason or holds one at any depth."""
    if issubclass(schema, ReasonRow):
        return True
    return any(holds_reasons(found) for info in schema.model_fields.values() for found in _schemas_in(info.annotation))


class Phrase(Schema):
    """A part of a sentence with an entry of its own in the catalogs: "3 machines", a day."""

    code: str
    context: dict[str, "int | str | Phrase"] = {}


WireContext = dict[str, int | str | Phrase | list[str | Phrase]]


class ReasonRow(Schema):
    """A reason: its code, the catalog entry of its sentence (`message`) and the values of that.

    `words` is the sentence in the language of the reader, rendered on output. Only rows from before there were codes
    have it stored; it is then shown unchanged. Subclasses narrow `code`.
    """

    code: str
    message: str = ""
    context: WireContext = {}
    words: str = ""

    @classmethod
    def because(cls, code: str, reason: Reason, **more: Any) -> Self:
        return cls.model_validate(
            {"code": code, "message": reason.code, "context": context_to_json(reason.context), **more}
        )

    @property
    def reason(self) -> Reason:
        return Reason(self.message or self.code, context_from_json(to_json(self.context)), self.words)


class Row(Schema):
    """A row as every device sees it. Built from a model instance by attribute names."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, from_attributes=True)

    id: UUID
    created_at: AwareDatetime
    changed_at: AwareDatetime

    @classmethod
    def of(cls, instance: object) -> Self:
        return cls.model_validate(instance)


F = TypeVar("F", bound=Schema)


class Edit(Schema, Generic[F]):
    """Changes to named fields of one row, with the values that the editor saw.

    `Edit[CustomerFields]` may change the fields of that schema. `base` and `set` have the same keys. `set` is checked
    when the edit runs, with the whole row as it would be; `base` is not checked: a value seen earlier may not be
    allowed any more.
    """

    id: UUID
    base: dict[str, Any]
    set: dict[str, Any]

    @classmethod
    def fields(cls) -> type[F]:
        """The schema of the fields that may change."""
        fields: type[F] = cls.__pydantic_generic_metadata__["args"][0]
        return fields

    @classmethod
    def model_parametrized_name(cls, params: tuple[Any, ...]) -> str:
        return f"{params[0].__name__.removesuffix('Fields')}Edit"

    @classmethod
    def __get_pydantic_json_schema__(cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        schema = handler.resolve_ref_schema(handler(core_schema))
        whole = handler.resolve_ref_schema(handler(cls.fields().__pydantic_core_schema__))
        # Every field of an edit is optional, and one left out stays unchanged: no defaults.
        properties = {
            name: {key: value for key, value in field.items() if key != "default"}
            for name, field in whole["properties"].items()
        }
        part = {"type": "object", "properties": properties, "additionalProperties": False}
        schema["properties"]["base"] = {"description": "As they were when they were last seen; not checked.", **part}
        schema["properties"]["set"] = {"description": "As they are to be.", **part}
        return schema


class Target(Schema):
    """Names one row."""

    id: UUID


S = TypeVar("S", bound=Schema)

NAMES_A_SECRET = re.compile("password|passphrase|secret|token", re.IGNORECASE)
TAKEN_OUT = "(taken out)"


def without_secrets(value: Any) -> Any:
    """JSON without the values of keys such as "password", for the log of unknown commands.

    >>> without_secrets({"name": "Ivo", "password": "a first password"})
    {'name': 'Ivo', 'password': '(taken out)'}
    """
    if isinstance(value, dict):
        return {key: TAKEN_OUT if NAMES_A_SECRET.search(key) else without_secrets(item) for key, item in value.items()}
    return [without_secrets(item) for item in value] if isinstance(value, list) else value


def parse(schema: type[S], payload: object) -> S:
    """Validate a JSON-like payload against a schema.

    Raises Invalid with one FieldError for each fault, its path in dots.
    """
    try:
        # Strict checking of JSON text admits "2026-01-31" for a date but not "3" for a whole number.
        return schema.model_validate_json(json.dumps(payload))
    except UnicodeEncodeError:
        raise Invalid("invalid", fields=[FieldError("", "unstorable_text")]) from None
    except ValidationError as error:
        raise Invalid("invalid", message="fields_invalid", fields=faults_in(error)) from None
    except RecursionError:
        raise Invalid("invalid", fields=[FieldError("", "too_deep")]) from None


def faults_in(error: ValidationError) -> list[FieldError]:
    """Pydantic's errors as field errors. A code that the catalog lacks keeps pydantic's sentence."""
    faults = []
    for fault in error.errors(include_url=False, include_input=False):
        code = fault["type"]
        if code == "value_error":
            code = str(fault["ctx"]["error"])
        # A choice is refused alike, whether an enum or a list of literals holds the choices.
        code = "literal_error" if code == "enum" else code
        text = "" if code in MESSAGES else f"{fault['msg']}."
        context = {
            name: value if isinstance(value, int) else str(value) for name, value in fault.get("ctx", {}).items()
        }
        faults.append(FieldError(".".join(map(str, fault["loc"])), code, text=text, context=context))
    return faults


def to_json(value: object) -> Any:
    """A value as JSON: ids, dates and decimals as text."""
    if isinstance(value, BaseModel):
        return value.model_dump(mode="json")
    if isinstance(value, UUID):
        return str(value)
    if isinstance(value, Decimal):
        return plain_decimal(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {key: to_json(item) for key, item in value.items()}
    if isinstance(value, list | tuple | frozenset | set):
        return [to_json(item) for item in value]
    return value
