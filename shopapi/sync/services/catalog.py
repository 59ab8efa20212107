"""Every command that a phone may send, by name. REST ends in the same ones."""

from collections.abc import Mapping
from types import ModuleType
from typing import Any

from shopapi.accounts import services as accounts
from shopapi.core.commands import Command
from shopapi.customers import services as customers
from shopapi.jobs import services as jobs
from shopapi.machines import services as machines
from shopapi.quotes.services import deciding, writing


def _commands_in(*modules: ModuleType) -> dict[str, Command[Any, Any]]:
    return {found.name: found for module in modules for found in vars(module).values() if isinstance(found, Command)}


COMMANDS: Mapping[str, Command[Any, Any]] = _commands_in(accounts, customers, machines, jobs, writing, deciding)
