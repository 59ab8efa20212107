"""Tables of the contract that the phone uses at run time: commands, permissions, defaults of rows."""

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from pydantic import TypeAdapter, ValidationError

from shopapi.accounts.rules import PERMISSIONS
from shopapi.core.commands import Command
from shopapi.core.resources import BECAUSE, Resource, Transitions
from shopapi.core.schema import Row, Schema, to_json

Commands = Mapping[str, tuple[Resource, Command[Any, Any]]]


def commands_of(resources: Iterable[Resource]) -> Commands:
    """Every command that a phone may send, by name, with its resource."""
    return {
        command.name: (resource, command) for resource in resources if resource.queued for command in resource.commands
    }


def kinds_by_command(commands: Commands, does: Callable[[Command[Any, Any]], object]) -> dict[str, str]:
    """The kind of row of each command that passes `does`, for synced rows."""
    return {name: resource.kind for name, (resource, command) in commands.items() if resource.synced and does(command)}


def permissions() -> dict[str, list[str]]:
    """The permissions of each role."""
    return {str(role): sorted(map(str, allowed)) for role, allowed in PERMISSIONS.items()}


def arguments_left_out(commands: Commands) -> dict[str, dict[str, Any]]:
    """The defaults of arguments as plain JSON, for commands that have any."""
    found = {}
    for name, (_, command) in commands.items():
        fields = {} if command.edits else command.schema.model_fields
        optional = {
            field: json.loads(json.dumps(to_json(about.get_default(call_default_factory=True))))
            for field, about in fields.items()
            if not about.is_required()
        }
        if optional:
            found[name] = optional
    return found


def in_order(table: Transitions) -> dict[str, list[str]]:
    """A transition table as plain JSON, each set of states in the order of the table."""
    order = list(table)
    return {str(state): sorted(map(str, table[state]), key=order.index) for state in order}


def defaults_of(resource: Resource) -> dict[str, Any]:
    """The defaults of a row's fields that its creating command leaves out, as plain JSON.

    A field that no argument gives must have a default in its column or be one that the resource has `computed_fields`.
    Raises ValueError.
    """
    makers = [command.schema for command in resource.commands if command.creates_row]
    return {
        name: value
        for name in resource.row.model_fields
        if name not in Row.model_fields and name not in resource.computed_fields
        for value in _beginnings(resource, makers, name)
    }


def _beginnings(resource: Resource, makers: Sequence[type[Schema]], name: str) -> list[Any]:
    """The default of one field: a list of one value, empty where every creating command gives it."""
    if name == BECAUSE:
        return [None]
    given = [_of_argument(schema, name) for schema in makers if name in schema.model_fields]
    fits: TypeAdapter[Any] = TypeAdapter(resource.row.model_fields[name].annotation or Any)
    found = [_as_shown(fits, value) for value in given if value is not _NEEDED]
    # The argument's default may be None where the row has an empty text: then the column's default counts.
    if len(given) < len(makers) or _MISFIT in found:
        found = [value for value in found if value is not _MISFIT] + [_as_shown(fits, _of_column(resource, name))]
    distinct = [value for at, value in enumerate(found) if value not in found[:at]]
    if len(distinct) > 1 or _MISFIT in distinct:
        raise ValueError(
            f"{resource.kind}.{name} begins as {' or as '.join(map(repr, distinct))}: say one of them twice."
        )
    return distinct


_NEEDED = object()
_MISFIT = object()


def _of_argument(schema: type[Schema], name: str) -> Any:
    field = schema.model_fields[name]
    return _NEEDED if field.is_required() else to_json(field.get_default(call_default_factory=True))


def _of_column(resource: Resource, name: str) -> Any:
    columns: Sequence[Any] = resource.model._meta.concrete_fields
    column = next((column for column in columns if column.attname == name), None)
    if column is not None:
        if column.has_default():
            return to_json(column.get_default())
        if column.null:
            return None
        if column.blank and column.empty_strings_allowed:
            return ""
    raise ValueError(
        f"Nothing says how {resource.kind}.{name} begins: its makers have no such argument, its column no default. Give"
        f" one, or name it in `computed_fields` of the resource if the service works it out."
    )


def _as_shown(fits: TypeAdapter[Any], value: Any) -> Any:
    """A value as the row's schema serializes it; `_MISFIT` where the schema refuses it."""
    try:
        return json.loads(fits.dump_json(fits.validate_json(json.dumps(value))))
    except ValidationError:
        return _MISFIT
