"""The server's source as syntax trees, and helpers for the checks."""

import ast
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
SHOPAPI = ROOT / "shopapi"
# From the lowest layer up, as in the import contract of pyproject.toml.
LADDER = (
    "core",
    "accounts",
    "files",
    "documents",
    "notices",
    "customers",
    "machines",
    "jobs",
    "bench",
    "labor",
    "parts",
    "quotes",
    "dispatch",
    "billing",
    "reminders",
    "sync",
    "webhooks",
    "config",
)


def trees(*, without: tuple[str, ...] = ("migrations",)) -> Iterator[tuple[Path, ast.Module]]:
    """Each module of the server with its path from `shopapi/`."""
    paths = [path for path in sorted(SHOPAPI.rglob("*.py")) if not set(path.parts) & set(without)]
    assert len(paths) > 100
    for path in paths:
        yield path.relative_to(SHOPAPI), ast.parse(path.read_text(encoding="utf-8"))


def calls(tree: ast.AST) -> Iterator[tuple[str, ast.Call]]:
    """Each call in a tree with the last part of the called name."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            if isinstance(node.func, ast.Attribute):
                yield node.func.attr, node
            elif isinstance(node.func, ast.Name):
                yield node.func.id, node


def keyword(call: ast.Call, name: str) -> object:
    """The constant that a call gives a keyword, or None."""
    found = [item.value for item in call.keywords if item.arg == name]
    return found[0].value if found and isinstance(found[0], ast.Constant) else None
