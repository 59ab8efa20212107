"""What is derived from resources; a wrong declaration is refused when the server starts."""

import ast
import re
import tomllib
from collections.abc import Callable
from dataclasses import replace
from typing import Any, cast

import pytest
from django.core.exceptions import ImproperlyConfigured

from shopapi.config import prepare
from shopapi.core.discovery import app_modules
from shopapi.core.resources import Resource, all_resources, check_resources, resource_of
from shopapi.core.schema import Schema
from shopapi.customers.models import Customer, Site
from shopapi.customers.rules.customer import CustomerRow, SiteRow
from shopapi.customers.services import add_site, edit_site, remove_site
from shopapi.sync.queries import synced_kinds
from shopapi.sync.services.push import PUSH_COMMANDS
from tests.structure.source_tree import ROOT, calls, trees


def wrong(**options: Any) -> Callable[[], Any]:
    return lambda: Resource("site", Site, SiteRow, **options)


class NoId(Schema):
    """Arguments that name no row."""

    label: str


WRONG: dict[str, Callable[[], Any]] = {
    "The filter “colour” is no field of SiteRow": wrong(filters=("colour",)),
    "The transition table “mood” is no field of Site": wrong(transitions={"mood": {}}),
    "add_site and put_site have the same path": wrong(commands=(add_site, replace(add_site, name="put_site"))),
    "edit_site and repair_site have the same path, ending in “edit”": wrong(
        commands=(edit_site, replace(edit_site, name="repair_site", rest_name="edit"))
    ),
    "add_site has no argument “id”": wrong(commands=(replace(add_site, schema=cast(Any, NoId)),)),
    "Each kind belongs to one resource; claimed twice: site": lambda: check_resources(
        [wrong()(), wrong(plural="places")()]
    ),
    "Each plural belongs to one resource; claimed twice: sites": lambda: check_resources(
        [wrong()(), Resource("customer", Customer, CustomerRow, plural="sites")]
    ),
    "Each command belongs to one resource; claimed twice: edit_site": lambda: check_resources(
        [wrong(commands=(edit_site,))(), Resource("customer", Customer, CustomerRow, commands=(edit_site,))]
    ),
}


@pytest.mark.parametrize("words", WRONG)
def test_wrong_declaration_is_refused(words: str) -> None:
    with pytest.raises(ImproperlyConfigured, match=f"(?i){re.escape(words)}"):
        WRONG[words]()


def test_paths_are_derived_from_command_names() -> None:
    verb = replace(edit_site, name="close_gate_of_site_early")
    resource = Resource("site", Site, SiteRow, commands=(add_site, edit_site, remove_site, verb))
    assert resource.plural == "sites"
    assert resource.create_commands == {"": add_site}
    assert resource.actions == {"edit": edit_site, "remove": remove_site, "close-gate-of-site-early": verb}
    assert replace(resource, plural="places").plural == "places"


def test_apps_with_resources_are_found_in_layer_order() -> None:
    apps = list(
        dict.fromkeys(resource.model._meta.app_label for resource in all_resources() if resource.snapshot_order == 0)
    )
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"]
    [layers] = [contract["layers"] for contract in contracts if contract["name"] == "Apps form one ladder"]
    lowest_first = [app for layer in reversed(layers) for app in layer.split(" | ")]
    # An issue stands in `core` and is settled in `sync`.
    assert [app for app in apps if app != "core"] == [app for app in lowest_first if app in apps and app != "core"]
    declared = {f"shopapi.{path.parent.name}.resources" for path in (ROOT / "shopapi").glob("*/resources.py")}
    assert {module.__name__ for module in app_modules("resources")} == declared


def test_snapshot_starts_with_shop_members_and_customers() -> None:
    assert list(synced_kinds())[:3] == ["shop", "member", "customer"]
    assert list(synced_kinds())[-1] == "meter_reading"


def test_every_queued_command_is_known_to_sync() -> None:
    queued = [command for resource in all_resources() if resource.queued for command in resource.commands]
    names = [name for command in queued for name in (command.name, *command.former_names)]
    assert set(PUSH_COMMANDS) == set(names)
    assert len(names) == len(PUSH_COMMANDS), "a former name is the name of another command"


def commands_in_the_code() -> set[str]:
    """Every command declared anywhere, named by a resource or not."""
    return {
        node.name
        for _, tree in trees()
        for node in tree.body
        if isinstance(node, ast.FunctionDef)
        and any("command" in dict(calls(decorator)) for decorator in node.decorator_list)
    }


def test_every_command_belongs_to_a_resource() -> None:
    assert commands_in_the_code() == {command.name for resource in all_resources() for command in resource.commands}
    assert len(commands_in_the_code()) > 80


@pytest.mark.parametrize("resource", all_resources(), ids=lambda resource: resource.kind)
def test_creating_and_deleting_commands_are_marked(resource: Resource) -> None:
    for command in resource.commands:
        source = command.service.__code__.co_names  # type: ignore[attr-defined] # a service is a function
        if command.deletes_row:
            assert {"delete", "remove_row"} & set(source), command.name
        if "refuse_known_id" in source:
            assert command.creates_row, command.name
        assert not (command.creates_row and command.deletes_row), command.name


def test_filters_have_the_types_of_the_row() -> None:
    fields = resource_of("stop").filter_class.model_fields
    assert list(fields)[:7] == ["cursor", "limit", "order", "job_id", "supplier_id", "run_id", "state"]
    # Every day and instant of the row can be bounded.
    shown = resource_of("stop").row.model_fields
    bounded = {name for name, field in shown.items() if "date" in str(field.annotation).lower()}
    assert {name.removesuffix("_from") for name in fields if name.endswith("_from")} == bounded
    assert str(fields["job_id"].annotation) == "uuid.UUID | None"


def test_wrong_declaration_stops_the_start(monkeypatch: pytest.MonkeyPatch) -> None:
    """Before the database is used: no test of this file has one."""

    def refuse() -> None:
        raise ImproperlyConfigured("Resource “site”: …")

    monkeypatch.setattr("shopapi.core.resources.all_resources", refuse)
    with pytest.raises(ImproperlyConfigured, match="site"):
        prepare.main()
