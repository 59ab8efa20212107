"""Every edit names the schema of its fields; the OpenAPI document shows them."""

import json
from typing import Any

import pytest
from django.conf import settings

from shopapi.core.commands import Command
from shopapi.core.errors import Invalid
from shopapi.core.models import Issue
from shopapi.core.resources import Resource, all_resources
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from shopapi.customers.services import edit_customer
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.work import do

EDITS = [(resource, command) for resource in all_resources() for command in resource.commands if command.edits]
DOCUMENT = json.loads(settings.API_DOCUMENT.read_text(encoding="utf-8"))


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def test_every_edit_declares_its_fields() -> None:
    named = {
        command.name
        for resource in all_resources()
        for command in resource.commands
        if command.name.startswith("edit_")
    }
    assert named == {command.name for _, command in EDITS if command.on_rest}
    assert len(named) >= 11


@pytest.mark.parametrize(("resource", "command"), EDITS, ids=lambda one: getattr(one, "name", ""))
def test_edited_fields_are_in_the_row(resource: Resource, command: Command[Any, Any]) -> None:
    assert command.edits is not None
    assert set(command.edits.model_fields) <= set(resource.row.model_fields)


@pytest.mark.parametrize(
    "command", [command for _, command in EDITS if command.on_rest], ids=lambda command: str(command.name)
)
def test_openapi_document_lists_the_fields_of_an_edit(command: Command[Any, Any]) -> None:
    (asked,) = (
        way["post"]["requestBody"]["content"]["application/json"]["schema"]
        for way in DOCUMENT["paths"].values()
        if way.get("post", {}).get("operationId") == command.name
    )
    name = asked["$ref"].rpartition("/")[2]
    assert name == f"{command.name.removeprefix('edit_').title().replace('_', '')}EditRequest"
    shown, fields = DOCUMENT["components"]["schemas"][name], command.edits
    assert fields is not None
    for part in (shown["properties"]["base"], shown["properties"]["set"]):
        assert set(part["properties"]) == set(fields.model_fields)
        assert all({"type", "anyOf", "$ref"} & set(field) for field in part["properties"].values())
        assert part["additionalProperties"] is False
        # Every field is optional.
        assert "required" not in part
        assert not any("default" in field for field in part["properties"].values())


def test_base_value_need_not_be_valid_any_more(crew: Crew) -> None:
    customer = work.a_customer(crew.owner)
    do(
        crew.office,
        edit_customer,
        id=customer,
        base={"name": "", "archived": "maybe"},
        set={"name": "A", "archived": True},
    )
    with in_shop(crew.shop_id):
        assert Customer.objects.get().name == "Winnie Stroud"
        assert Issue.objects.get().ours == {"name": "A", "archived": True}


@pytest.mark.parametrize(
    ("base", "wanted", "field", "code"),
    [
        ({"colour": "red"}, {"colour": "blue"}, "colour", "extra_forbidden"),
        ({"notes": ""}, {"name": "A"}, "base", "base_mismatch"),
        ({}, {}, "base", "base_mismatch"),
        ({"name": "Winnie Stroud"}, {"name": ""}, "name", "too_short"),
        ({"name": "Winnie Stroud"}, {"name": None}, "name", "string_type"),
    ],
)
def test_invalid_edit_names_the_field(
    crew: Crew, base: dict[str, Any], wanted: dict[str, Any], field: str, code: str
) -> None:
    customer = work.a_customer(crew.owner)
    with pytest.raises(Invalid) as refused:
        do(crew.office, edit_customer, id=customer, base=base, set=wanted)
    assert [(fault.field, fault.code) for fault in refused.value.fields] == [(field, code)]
