"""`diagrams`: the transition tables of the rules as Mermaid text, for DEVELOPERS.md."""

from collections.abc import Collection, Mapping
from typing import Any

from django.core.management.base import BaseCommand

from shopapi.dispatch.rules.states import PLAN_TRANSITIONS, RUN_TRANSITIONS, STOP_TRANSITIONS
from shopapi.jobs.rules import JOB_TRANSITIONS
from shopapi.quotes.rules import QUOTE_TRANSITIONS

TABLES: Mapping[str, Mapping[str, Collection[str]]] = {
    "The stages of a job": JOB_TRANSITIONS,
    "The states of a quote": QUOTE_TRANSITIONS,
    "The states of a run": RUN_TRANSITIONS,
    "The states of a stop": STOP_TRANSITIONS,
    "The states of a planning": PLAN_TRANSITIONS,
}


def diagrams() -> str:
    """All tables, each a heading and a Mermaid diagram."""
    return "\n".join(
        f"#### {title}\n\n```mermaid\nstateDiagram-v2\n{_arrows(table)}\n```\n" for title, table in TABLES.items()
    )


def _arrows(table: Mapping[str, Collection[str]]) -> str:
    # In the order of the table itself, so that a set prints the same each time.
    order = list(table)
    return "\n".join(f"    {start} --> {then}" for start in table for then in sorted(table[start], key=order.index))


class Command(BaseCommand):
    help = "Print the transition tables as Mermaid text; DEVELOPERS.md holds them between two marks."

    def handle(self, *args: Any, **options: Any) -> None:
        print(diagrams())
