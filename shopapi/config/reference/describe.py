"""Writes a description into each field and parameter of the OpenAPI document that has none.

A field is described by name, since one word means one thing; `Schema.name` where a schema means another. Ids, amounts,
instants, days and measures are described by their names' endings.
"""

import re
from collections.abc import Iterator, Mapping
from typing import Any

from shopapi.config.reference import fields_bench, fields_money, fields_planning, fields_sync, fields_work
from shopapi.config.reference.examples import EXAMPLES
from shopapi.core.http.openapi import operations_of
from shopapi.core.resources import all_resources

FIELDS: Mapping[str, str] = {
    **fields_work.FIELDS,
    **fields_money.FIELDS,
    **fields_bench.FIELDS,
    **fields_planning.FIELDS,
    **fields_sync.FIELDS,
}
PARAMETERS: Mapping[str, str] = {
    "row_id": "The id of the row.",
    "device": "The id of the device.",
    "build": "The build of the app that asks.",
}
# How a field whose name ends so is described; {} is the rest of its name in words.
ENDINGS: Mapping[str, str] = {
    "_by_id": "The id of the member who {}; null where it was not a member.",
    "_by_name": "The name of the person who {}.",
    "_ids": "The ids of each {}.",
    "_id": "The id of the {}.",
    "_minor": "The amount “{}”, in minor units of the currency.",
    "_at": "When it was {}: an instant with its UTC offset.",
    "_on": "The day on which it was {}, by the shop's calendar.",
    "_seconds": "The time “{}”, in seconds.",
    "_minutes": "The time “{}”, in minutes.",
    "_days": "The number of days “{}”.",
    "_hours": "The number of hours “{}”.",
    "_percent": "The share “{}”, in percent.",
    "_kg": "The mass “{}”, in kilograms.",
    "_cm": "The length “{}”, in centimetres.",
    "_typed": "The {} as it was typed, with its unit.",
    "_lat": "Latitude of {}, in degrees.",
    "_lon": "Longitude of {}, in degrees.",
}
REQUEST = re.compile("Request$")


def describe(result: Any, generator: Any, request: Any, public: Any) -> Any:
    """Postprocessing hook of drf-spectacular."""
    kinds = {resource.kind: resource.label for resource in all_resources()}
    for name, schema in result["components"]["schemas"].items():
        for field, property_ in fields_of(schema):
            if not property_.get("description") and (words := description_of(name, field, kinds)):
                property_["description"] = words
        if name in EXAMPLES:
            schema["examples"] = [EXAMPLES[name]]
    for _, operation in operations_of(result):
        for parameter in operation.get("parameters", ()):
            if not parameter.get("description") and (words := parameter_words(parameter["name"], kinds)):
                parameter["description"] = words
    return result


def fields_of(schema: Mapping[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Each field of a schema with its schema, at any depth within it."""
    for name, inner in schema.get("properties", {}).items():
        yield name, inner
        yield from fields_of(inner)
    for inner in (schema.get("items"), schema.get("additionalProperties"), *schema.get("anyOf", ())):
        if isinstance(inner, dict):
            yield from fields_of(inner)


def description_of(schema: str, field: str, kinds: Mapping[str, str]) -> str:
    """What a field of a schema holds; empty where nothing says so."""
    if schema == "Rows" and field in kinds:
        return f"The {kinds[field]} among them."
    own = FIELDS.get(f"{schema}.{field}") or FIELDS.get(f"{REQUEST.sub('', schema)}.{field}") or FIELDS.get(field)
    return own or _by_ending(field)


def parameter_words(name: str, kinds: Mapping[str, str]) -> str:
    """What a parameter narrows a list by, or names."""
    if name in PARAMETERS:
        return PARAMETERS[name]
    words = FIELDS.get(name) or _by_ending(name)
    return f"Only rows with this `{name}`. {words}" if words else ""


def _by_ending(field: str) -> str:
    for ending, text in ENDINGS.items():
        if field.endswith(ending) and field != ending.lstrip("_"):
            return text.format(field.removesuffix(ending).replace("_", " "))
    return ""
