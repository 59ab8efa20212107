"""Settling issues: a person chooses on one device, every device pulls the result."""

from typing import Any
from uuid import UUID

from shopapi.accounts.models import Member
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, Forbidden, Reason, pack, unpack
from shopapi.core.feed import HELD_COMMAND, claim_commit_seq
from shopapi.core.models import AuditEvent, Issue
from shopapi.core.rows import row_for
from shopapi.sync.models import LoggedCommand
from shopapi.sync.rules.issue import IssueSettlement
from shopapi.sync.rules.outcomes import CommandStatus, HeldReason
from shopapi.sync.services.catalog import COMMANDS
from shopapi.sync.services.execution import actor_for_member, rerun_command, run_unblocked

SETTLED = "issue settled"


@command(needs=Permission.SETTLE_ISSUES)
def settle_issue(*, actor: Actor, data: IssueSettlement) -> Issue:
    """Keep the server's value (`theirs`), or apply the one that was sent (`ours`).

    Applying needs the permissions of both the member who sent it and the one who settles. What a signed-off device
    handed in is for the owner, who signed it off. Raises Conflict `already_settled` (with who and how), `evidence_only`
    or `still_refused`.
    """
    issue = row_for(Issue, actor, data.id)
    if issue.state == Issue.State.RESOLVED:
        raise _already_settled_error(issue)
    held = _held_command(issue)
    if held is not None and held.code == HeldReason.RETIRED and not actor.may(Permission.MANAGE_MEMBERS):
        raise Forbidden("forbidden", message="owner_settles")
    if data.choice == "ours":
        _apply_ours(actor, issue)
    elif issue.entity_kind == HELD_COMMAND:
        _discard_held_command(actor, issue)
    issue.state, issue.choice = Issue.State.RESOLVED, data.choice
    issue.save(update_fields=["state", "choice"])
    record(actor, SETTLED, ("issue", issue.id), choice=data.choice, command=issue.command_id)
    return issue


def _already_settled_error(issue: Issue) -> Conflict:
    settled = AuditEvent.objects.filter(shop_id=issue.shop_id, subject_id=issue.id, event=SETTLED).first()
    if settled is None:
        return Conflict("already_settled")
    context = {
        "settled_by": str(settled.member_id),
        "choice": issue.choice,
        "name": _name(issue, settled.member_id),
        "way": f"{issue.kind}_{issue.choice}",
    }
    return Conflict("already_settled", message="already_settled_by", context=context)


def _name(issue: Issue, member_id: UUID | None) -> str:
    members = Member.objects.filter(shop=issue.shop_id, id__in=[member_id])
    return members.values_list("name", flat=True).first() or "Somebody"


def _apply_ours(actor: Actor, issue: Issue) -> None:
    if issue.kind == Issue.Kind.CONFLICT and issue.entity_id is not None:
        edit: Any = COMMANDS[issue.name]
        edit.within(actor=actor, data=edit.schema(id=issue.entity_id, base=issue.theirs, set=issue.ours))
        return
    logged = _held_command(issue)
    if logged is None:
        raise Conflict("evidence_only")
    wanted = COMMANDS.get(logged.name)
    if wanted is not None:
        actor.require(wanted.needs)
        _require_sender_permission(logged, wanted.needs)
    seq = claim_commit_seq(actor.shop_id)
    if not rerun_command(logged, seq, settler=actor).took_effect:
        raise Conflict("still_refused", reason=unpack(logged.words) if logged.words else None)
    run_unblocked(actor.shop_id, seq)


def _require_sender_permission(logged: LoggedCommand, needed: str) -> None:
    sender = Member.objects.get(id=logged.member_id)
    if not actor_for_member(sender).may(needed):
        context = {"name": sender.name, "permission": needed.replace("_", " ")}
        raise Conflict("still_refused", message="sender_role_lacks", context=context)


def _discard_held_command(actor: Actor, issue: Issue) -> None:
    """Mark the held command as left out: it is not run again, whatever arrives later."""
    logged = _held_command(issue)
    if logged is not None:
        logged.code, logged.waits_for = HeldReason.LEFT_OUT, None
        logged.words = pack(Reason("left_out", {"name": _name(issue, actor.member_id)}))
        logged.save(update_fields=["code", "words", "waits_for"])


def _held_command(issue: Issue) -> LoggedCommand | None:
    """The command of an issue, if it is held and has not run."""
    held = LoggedCommand.objects.filter(shop=issue.shop_id, id__in=[issue.command_id], status=CommandStatus.HELD)
    return held.exclude(code=HeldReason.NEEDS_REVIEW).first()
