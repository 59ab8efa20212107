"""Every command that a phone may send, by its name and its former ones. REST ends in the same ones."""

from collections.abc import Mapping
from typing import Any

from django.db.models import Model

from shopapi.accounts.rules import NEVER_HELD, Permission
from shopapi.core.commands import Command
from shopapi.core.resources import resources_below

COMMANDS: Mapping[str, Command[Any, Any]] = {
    name: command
    for resource in resources_below("sync")
    if resource.queued
    for command in resource.commands
    for name in (command.name, *command.former_names)
}
"""Without those of this app, which are never held."""
ROWS_CREATED: Mapping[str, type[Model]] = {
    command.name: resource.model
    for resource in resources_below("sync")
    for command in resource.commands
    if command.creates_row
}
"""The table of the row that a command creates under the id among its arguments."""


def can_be_held(command: Command[Any, Any]) -> bool:
    """Whether a command may be held and run later, when somebody settles it."""
    return command.needs not in NEVER_HELD


def can_be_restored(command: Command[Any, Any]) -> bool:
    """Whether a command may wait for what a restore lost: a settlement too, as its issue may be resent after it."""
    return can_be_held(command) or command.needs == Permission.SETTLE_ISSUES
