"""Every command that a phone may send, by name. REST ends in the same ones."""

from collections.abc import Mapping
from types import ModuleType
from typing import Any

from shopapi.accounts import services as accounts
from shopapi.core.commands import Command
from shopapi.customers import services as customers
from shopapi.dispatch.services import asking, breaking, driving, making, printing, rigs, stops
from shopapi.files.services import attaching
from shopapi.jobs import services as jobs
from shopapi.labor.services import clocking, mending
from shopapi.machines import services as machines
from shopapi.notices.services import posting, wording
from shopapi.quotes.services import asking as requesting
from shopapi.quotes.services import deciding, writing
from shopapi.reminders import services as reminders


def _commands_in(*modules: ModuleType) -> dict[str, Command[Any, Any]]:
    return {found.name: found for module in modules for found in vars(module).values() if isinstance(found, Command)}


COMMANDS: Mapping[str, Command[Any, Any]] = _commands_in(
    posting,
    reminders,
    wording,
    accounts,
    attaching,
    customers,
    machines,
    jobs,
    clocking,
    mending,
    writing,
    deciding,
    rigs,
    breaking,
    stops,
    driving,
    asking,
    making,
    requesting,
    printing,
)

MAKERS = frozenset(
    {
        "add_member",
        "add_customer",
        "add_site",
        "add_machine",
        "record_meter",
        "open_job",
        "add_complaint",
        "record_finding",
        "add_attachment",
        "record_message",
        "put_notice_template",
        "opt_out",
        "turn_on_push",
        "start_clock",
        "correct_entry",
        "add_entry",
        "draft_quote",
        "put_quote_line",
        "decide_quote",
        "set_up_yard",
        "add_rig",
        "ask_stop",
        "ask_urgent_stop",
        "open_run",
        "hand_over",
        "request_plan",
        "send_approval_request",
        "print_run",
        "print_tags",
        "print_hand_over",
    }
)
"""The commands whose `id` is that of a row they make."""

CHANGERS = (frozenset(COMMANDS) - MAKERS) | {"settle_issue"}
"""The commands whose `id` is that of a row which must be there already."""
