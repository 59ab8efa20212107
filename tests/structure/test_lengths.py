"""The maximum lengths of arguments fit their columns, so that no text is refused by the database."""

from collections.abc import Iterator
from typing import Annotated, Any

import pytest
from django.db.models import CharField
from pydantic import TypeAdapter, ValidationError
from pydantic.fields import FieldInfo

from shopapi.core.resources import Resource, all_resources


def texts_taken(resource: Resource) -> Iterator[tuple[str, FieldInfo, int]]:
    """Each argument that a column of the resource keeps as text: its name, what it takes, the most the column keeps."""
    columns = {
        field.name: field.max_length
        for field in resource.model._meta.concrete_fields
        if isinstance(field, CharField) and field.max_length
    }
    for command in resource.commands:
        for schema in filter(None, (command.schema, command.edits)):
            for name in schema.model_fields.keys() & columns.keys():
                yield f"{command.name}.{name}", schema.model_fields[name], columns[name]


def takes(field: FieldInfo, text: str) -> bool:
    annotation: Any = Annotated[(field.annotation, *field.metadata)] if field.metadata else field.annotation
    try:
        TypeAdapter(annotation).validate_python(text)
    except ValidationError:
        return False
    return True


@pytest.mark.parametrize("resource", all_resources(), ids=lambda resource: resource.kind)
def test_text_fits_its_column(resource: Resource) -> None:
    assert [name for name, field, most in texts_taken(resource) if takes(field, "x" * (most + 1))] == []


def test_text_arguments_are_found() -> None:
    found = [(name, takes(field, "x")) for resource in all_resources() for name, field, _ in texts_taken(resource)]
    assert len(found) > 60
    assert ("add_customer.name", True) in found
