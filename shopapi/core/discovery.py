"""Finds modules of a given name in our own apps, so that no list of them is kept by hand."""

from collections.abc import Iterable
from importlib import import_module
from importlib.util import find_spec
from typing import Any

from django.apps import AppConfig, apps


def app_modules(name: str, configs: Iterable[AppConfig] | None = None) -> list[Any]:
    """The modules of this dotted name in those of our apps that have one, in the order of INSTALLED_APPS."""
    ours = f"{__name__.split('.', maxsplit=1)[0]}."
    names = [f"{config.name}.{name}" for config in configs or apps.get_app_configs() if config.name.startswith(ours)]
    return [import_module(name) for name in names if _exists(name)]


def _exists(module: str) -> bool:
    try:
        return find_spec(module) is not None
    except ModuleNotFoundError:
        return False
