"""Settling issues: a person chooses, on any device, and every device sees it settled."""

from typing import Any

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, NotFound
from shopapi.core.feed import take_number
from shopapi.core.models import Issue
from shopapi.core.shape import Edit
from shopapi.sync.models import LoggedCommand
from shopapi.sync.rules import Choice, Status
from shopapi.sync.services.carrying import rerun
from shopapi.sync.services.catalog import COMMANDS


@command(needs=Permission.SETTLE_ISSUES)
def settle_issue(*, actor: Actor, data: Choice) -> Issue:
    """Choose what stands, or carry out what was wanted after all."""
    issue = Issue.objects.select_for_update().filter(shop_id=actor.shop_id, id=data.id).first()
    if issue is None:
        raise NotFound("issue", data.id)
    if issue.state == Issue.State.RESOLVED:
        return issue
    if data.choice == "ours":
        _carry_out_ours(actor, issue)
    issue.state, issue.choice = Issue.State.RESOLVED, data.choice
    issue.save(update_fields=["state", "choice"])
    record(actor, "issue settled", ("issue", issue.id), choice=data.choice)
    return issue


def _carry_out_ours(actor: Actor, issue: Issue) -> None:
    if issue.kind == Issue.Kind.CONFLICT and issue.entity_id is not None:
        edit: Any = COMMANDS[issue.name]
        edit.within(actor=actor, data=Edit(id=issue.entity_id, base=issue.theirs, set=issue.ours))
        return
    logged = LoggedCommand.objects.filter(shop=actor.shop_id, id__in=[issue.command_id], status=Status.HELD).first()
    if logged is None or logged.code == "doubted":
        words = (
            "This is kept as evidence and cannot take effect by itself; make a new revision and ask the owner again."
        )
        raise Conflict("evidence_only", words)
    if rerun(logged, take_number(actor.shop_id)).status != Status.APPLIED:
        raise Conflict("still_refused", logged.words or "This still cannot be carried out.")
