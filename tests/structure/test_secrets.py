"""No command takes a secret: commands are logged, shown when they are held, and sent to every phone of the shop."""

import importlib
import pkgutil
from collections.abc import Iterator
from typing import Any, get_args

import pytest
from pydantic import BaseModel

import shopapi
from shopapi.core.schema import NAMES_A_SECRET, Schema, Secret, SecretMark
from shopapi.sync.services.catalog import COMMANDS
from shopapi.sync.services.push import PUSH_COMMANDS


def fields_of(schema: type[BaseModel], seen: frozenset[type] = frozenset()) -> Iterator[tuple[str, str, bool]]:
    """Each field of a schema and of the schemas in it: whose, its name, and whether its type is a secret."""
    for name, info in schema.model_fields.items():
        yield schema.__name__, name, _is_secret([info.annotation, *info.metadata])
        for inner in _schemas_in(info.annotation):
            if inner not in seen | {schema}:
                yield from fields_of(inner, seen | {schema})


def _is_secret(parts: list[Any]) -> bool:
    return any(isinstance(part, SecretMark) or _is_secret(list(get_args(part))) for part in parts)


def _schemas_in(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for part in get_args(annotation):
        yield from _schemas_in(part)


def every_schema(of: type[Schema] = Schema) -> Iterator[type[Schema]]:
    for schema in of.__subclasses__():
        yield schema
        yield from every_schema(schema)


@pytest.mark.parametrize("name", sorted({*COMMANDS, *PUSH_COMMANDS}))
def test_no_command_takes_a_secret(name: str) -> None:
    command = {**COMMANDS, **PUSH_COMMANDS}[name]
    found = list(fields_of(command.schema))
    assert found
    assert [(schema, field) for schema, field, secret in found if secret or NAMES_A_SECRET.search(field)] == []


def test_every_field_named_like_a_secret_has_the_secret_type() -> None:
    for module in pkgutil.walk_packages(shopapi.__path__, "shopapi."):
        if ".api" in module.name or module.name.endswith(".rules") or ".rules." in module.name:
            importlib.import_module(module.name)
    named = {
        (schema, field, secret)
        for one in every_schema()
        if one.__module__.startswith("shopapi.")
        for schema, field, secret in fields_of(one)
        if NAMES_A_SECRET.search(field)
    }
    assert {(schema, field) for schema, field, secret in named if not secret} == set()
    assert {"FirstShop", "Acceptance", "Credentials"} <= {schema for schema, _, _ in named}


def test_secret_is_found_at_any_depth() -> None:
    class Inner(Schema):
        key: Secret

    class Outer(Schema):
        inner: list[Inner | None]

    assert ("Inner", "key", True) in set(fields_of(Outer))
