"""`diagrams`: print the transition tables of the resources as Mermaid text, for `shopapi/states.md`."""

from typing import Any

from django.core.management.base import BaseCommand

from shopapi.core.resources import Resource, Transitions, all_resources

HEAD = """# Transition tables

The states that rules allow, written by `python3 manage.py diagrams > shopapi/states.md`. A test compares both.
"""


def diagrams() -> str:
    """The whole file: each table is a heading and a Mermaid diagram."""
    return f"{HEAD}\n" + "\n".join(
        f"## {_title(resource, field)}\n\n```mermaid\nstateDiagram-v2\n{_arrows(table)}\n```\n"
        for resource in all_resources()
        for field, table in resource.transitions.items()
    )


def _title(resource: Resource, field: str) -> str:
    """Such as "The stages of a job"."""
    one = resource.kind.replace("_", " ")
    return f"The {field}s of {'an' if one[0] in 'aeiou' else 'a'} {one}"


def _arrows(table: Transitions) -> str:
    # In the order of the table: a set has no stable order.
    order = list(table)
    return "\n".join(f"    {start} --> {then}" for start in table for then in sorted(table[start], key=order.index))


class Command(BaseCommand):
    help = "Print the transition tables as Mermaid text; `shopapi/states.md` holds them."

    def handle(self, *args: Any, **options: Any) -> None:
        print(diagrams(), end="")
