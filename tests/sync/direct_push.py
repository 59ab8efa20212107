"""Pushes without a server: commands of one member's device, sent in this process."""

from datetime import timedelta
from typing import Any
from uuid import UUID

from shopapi.accounts.models import Device
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.models import Issue
from shopapi.core.schema import parse, to_json
from shopapi.core.tenancy import in_shop
from shopapi.sync.models import LoggedCommand
from shopapi.sync.rules.outcomes import Outcome
from shopapi.sync.rules.push import Push
from shopapi.sync.services.push import push_commands
from tests.factories.crews import device_of

MOMENT = "2026-05-04T15:00:00Z"


def envelope(no: int, name: str, args: dict[str, Any], *, v: int = 1, wall: str = MOMENT) -> dict[str, Any]:
    """One command as a phone sends it."""
    return {"id": str(uuid7()), "no": no, "name": name, "v": v, "args": args, "wall": wall}


def push(actor: Actor, *written: tuple[str, dict[str, Any]], v: int = 1, hours_ago: float = 0) -> list[Outcome]:
    """Push commands (name, arguments) as the next ones of the actor's device; returns their outcomes."""
    with in_shop(actor.shop_id):
        first = Device.objects.values_list("next_no", flat=True).get(id=device_of(actor))
    wall = (now() - timedelta(hours=hours_ago)).isoformat()
    commands = [envelope(first + n, name, to_json(args), v=v, wall=wall) for n, (name, args) in enumerate(written)]
    body = {"device": str(actor.device_id), "sent_wall": now().isoformat(), "commands": commands}
    return push_commands(actor=actor, data=parse(Push, body)).results


def held_issue_of(actor: Actor, command_id: UUID) -> Issue:
    """The issue about a held command."""
    with in_shop(actor.shop_id):
        return Issue.objects.get(command_id=command_id, entity_kind="command")


def logged(actor: Actor, command_id: UUID) -> LoggedCommand:
    with in_shop(actor.shop_id):
        return LoggedCommand.objects.get(id=command_id)
