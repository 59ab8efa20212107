"""Enums are declared once: column, row, filters and commands have the same values."""

from enum import StrEnum
from typing import Any

import pytest
from django.contrib.postgres.fields import ArrayField
from django.db import models
from pydantic.json_schema import models_json_schema

from shopapi.core.enums import TextEnum, values_of
from shopapi.core.http.openapi import query_parameters
from shopapi.core.resources import Resource, all_resources, resource_of
from shopapi.core.schema import Schema
from shopapi.dispatch.rules.states import StopState


def all_below(base: type[Any]) -> set[type[Any]]:
    """The classes of the server that derive from another, as far as they are imported."""
    found: set[type[Any]] = set()
    left = [base]
    while left:
        new = [kind for kind in left.pop().__subclasses__() if kind not in found]
        found |= set(new)
        left += new
    return {kind for kind in found if kind.__module__.startswith("shopapi.")}


def values_in(schema: dict[str, Any], field: dict[str, Any]) -> set[str] | None:
    """The text values that a field of a JSON schema lists, through references, alternatives and lists; None: any."""
    if "$ref" in field:
        return values_in(schema, schema["$defs"][field["$ref"].rpartition("/")[2]])
    if "enum" in field or "const" in field:
        return set(field.get("enum", [field.get("const")]))
    if field.get("type") == "array":
        return values_in(schema, field["items"])
    parts = [part for part in field.get("anyOf", []) if part.get("type") != "null"]
    listed = [values_in(schema, part) for part in parts]
    return set().union(*(values for values in listed if values)) if listed and None not in listed else None


def text_values(field: "models.Field[Any, Any]") -> set[str] | None:
    """The values that a column of text may hold; None: any text, or no text."""
    of = field.base_field if isinstance(field, ArrayField) else field
    if not isinstance(of, models.CharField) or not of.choices:
        return None
    assert isinstance(of.choices, list)
    return {str(value) for value, _ in of.choices} | ({""} if field.blank and of is field else set())


@pytest.mark.parametrize("resource", all_resources(), ids=lambda resource: resource.kind)
def test_row_and_model_have_the_same_values(resource: Resource) -> None:
    schema, columns = resource.row.model_json_schema(mode="serialization"), resource.model._meta.concrete_fields
    shown = {name: values_in(schema, field) for name, field in schema["properties"].items()}
    kept = {column.attname: text_values(column) for column in columns if column.attname in shown}
    assert {name: shown[name] for name in kept} == kept


@pytest.mark.parametrize("resource", all_resources(), ids=lambda resource: resource.kind)
def test_list_filters_accept_the_values_of_the_row(resource: Resource) -> None:
    row, filters = resource.row.model_json_schema(mode="serialization"), resource.filter_class.model_json_schema()
    taken = {name: values_in(filters, field) for name, field in filters["properties"].items()}
    shown = {name: values_in(row, field) for name, field in row["properties"].items()}
    # How every list is sorted is not a value of its rows.
    assert taken.pop("order") == {"newest", "oldest"}
    assert {name: values for name, values in taken.items() if values} == {
        name: shown[name] for name in taken if shown.get(name)
    }


def test_openapi_parameters_list_their_values() -> None:
    listed = {parameter.name: parameter.type for parameter in query_parameters(resource_of("stop").filter_class)}
    assert listed["state"] == {"type": "string", "enum": list(values_of(StopState))}
    assert listed["job_id"] == {"type": "string", "format": "uuid"}


def test_names_of_schemas_and_enums_are_unique() -> None:
    """OpenAPI and the generated types of the phone use bare names; pydantic lengthens one that is taken."""
    # What is generic, and `Edit[Any]`, is a type of arguments in Python and stands in no document.
    schemas = [
        schema
        for schema in all_below(Schema)
        if not schema.__pydantic_generic_metadata__["parameters"]
        and Any not in schema.__pydantic_generic_metadata__["args"]
        and ".demo." not in schema.__module__
    ]
    named, _ = models_json_schema([(schema, "serialization") for schema in schemas])
    definitions = {pointer["$ref"].rpartition("/")[2] for pointer in named.values()}
    schema = models_json_schema([(schema, "serialization") for schema in schemas])[1]
    assert [name for name in definitions | set(schema["$defs"]) if "__" in name] == []


def test_every_enum_in_a_schema_accepts_the_text_of_its_column() -> None:
    """A plain StrEnum in a strict schema would refuse what Django reads."""
    in_rules = {kind for kind in all_below(StrEnum) if ".rules" in kind.__module__ or kind.__module__.endswith("enums")}
    inner = {"Permission", "DeliveryStatus", "DuplicateAction", "ImportOutcome"}
    assert {kind.__name__ for kind in in_rules if not issubclass(kind, TextEnum)} <= inner
