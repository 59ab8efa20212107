"""Execution of one command: it is applied, rejected or held, and never stops the ones behind it."""

import json
import logging
import uuid
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from django.db import IntegrityError, OperationalError, transaction
from django.db.models import QuerySet

from shopapi.accounts.models import Device, Member
from shopapi.accounts.queries import actor_of, was_signed_off_by_leaving
from shopapi.accounts.rules import Role
from shopapi.accounts.services.security_events import record_refused_permission
from shopapi.core.actor import Actor
from shopapi.core.audit import recorded_together
from shopapi.core.clock import now
from shopapi.core.commands import Command
from shopapi.core.errors import Conflict, DomainError, FieldError, Forbidden, NotFound, Reason, pack, unpack
from shopapi.core.feed import HELD_COMMAND, issue_of, open_issue
from shopapi.core.models import Issue
from shopapi.core.rows import checked_together, id_taken, takes_known_id
from shopapi.sync import queries
from shopapi.sync.models import LoggedCommand
from shopapi.sync.rules.outcomes import CommandStatus, EarlierOutcome, HeldReason, took_effect
from shopapi.sync.services.catalog import COMMANDS, ROWS_CREATED, can_be_held, can_be_restored
from shopapi.sync.services.held_time import describe_held_time

log = logging.getLogger("shopapi.sync")

# Reasons that apply whatever the outcome was before a restore.
FINAL_CODES = (HeldReason.WAITING, HeldReason.UNKNOWN, HeldReason.INTERNAL, "forbidden", "proof_needed")


@dataclass(frozen=True)
class CommandResult:
    """The result of executing a command.

    `waits_for`: the row that must exist, or the command that must be applied, before it can run. `row_id`: the row
    it created or changed, `number`: that row's number, if it has one.
    """

    status: CommandStatus
    code: str | None = None
    reason: Reason | None = None
    fields: Sequence[FieldError] = ()
    waits_for: UUID | None = None
    number: str | None = None
    row_id: UUID | None = None

    @property
    def stored_reason(self) -> str | None:
        """The reason as it is stored in the log of commands."""
        return None if self.reason is None else pack(self.reason)

    @property
    def took_effect(self) -> bool:
        """Whether rows were written: a command that needs review is applied too."""
        return took_effect(self.status, self.code)


def execute_restored(
    actor: Actor, command: Command[Any, Any] | None, args: Mapping[str, Any], earlier: EarlierOutcome | None, *, v: int
) -> CommandResult:
    """Execute a command that this server may have answered before it was restored from a backup.

    A command rejected then is rejected again, even if it would be accepted now. One that was applied waits for the
    command before it on the same row, and for whatever else is missing: the phones of a shop return in any order.
    The row gets the number it had.
    """
    if earlier is None or not (command is None or can_be_restored(command)):
        return execute(actor, command, args, v=v)
    if earlier.status == "rejected" and not (command and command.fact):
        fields = [FieldError.from_json(fault.model_dump()) for fault in earlier.fields]
        return CommandResult(CommandStatus.REJECTED, earlier.code, earlier.reason, fields)
    if earlier.status != "applied":
        return execute(actor, command, args, v=v)
    if earlier.after is not None and not queries.was_applied(actor.shop_id, earlier.after):
        return CommandResult(CommandStatus.HELD, HeldReason.WAITING, Reason("lost_for_now"), waits_for=earlier.after)
    with transaction.atomic():
        result = execute(replace(actor, number=earlier.number or ""), command, args, v=v, again=True)
        if result.status == CommandStatus.APPLIED or result.code in FINAL_CODES or _was_settled_by_person(actor):
            return result
        # Roll back the attempt, issues included.
        transaction.set_rollback(True)
    return CommandResult(CommandStatus.HELD, HeldReason.NOT_BACK, Reason("lost_for_now"), result.fields)


def _was_settled_by_person(actor: Actor) -> bool:
    """Whether a person had settled its issue: the settlement was received and waits for this issue."""
    if actor.command_id is None:
        return False
    issue_id = issue_of(actor.shop_id, actor.command_id, (HELD_COMMAND, actor.command_id))
    return queries.is_awaited(actor.shop_id, issue_id)


def execute(
    actor: Actor, command: Command[Any, Any] | None, args: Mapping[str, Any], *, v: int, again: bool = False
) -> CommandResult:
    """Run a command in a savepoint of the caller's transaction, which holds the per-shop write lock.

    `command` None, or a version `v` newer than the server's: the command is unknown. A refused intent is rejected; a
    refused fact is held and opens an issue; a command that names an unknown row is held until that row arrives; an
    internal error holds the command. Commands that cannot be held are rejected instead, except that with `again` (it
    was applied before a restore) a missing row is always waited for. Raises only OperationalError (database busy).
    """
    if command is None or v > command.v:
        return _unknown(command)
    try:
        with transaction.atomic():
            row = command.run_version(actor=actor, args=args, v=v)
            needs_review = command.fact and _needs_review(actor)
    except NotFound as error:
        missing = _missing_row_id(actor.shop_id, error.row_id) if again or can_be_held(command) else None
        if missing is None:
            return _refuse_or_hold(actor, command, args, error)
        describe_held_time(actor, command, args)
        return CommandResult(CommandStatus.HELD, HeldReason.WAITING, Reason("not_here_yet"), error.fields, missing)
    except DomainError as error:
        if isinstance(error, Forbidden):
            record_refused_permission(actor, error.code, of=command.name)
        return _refuse_or_hold(actor, command, args, error)
    except OperationalError:
        raise
    except IntegrityError as error:
        if takes_known_id(error):
            return _refuse_or_hold(actor, command, args, id_taken())
        return _internal_error(command, error)
    except Exception as error:  # noqa: BLE001 - one command's fault must not stop the queue behind it
        return _internal_error(command, error)
    return _applied(row, needs_review=needs_review)


def _applied(row: Any, *, needs_review: bool) -> CommandResult:
    if needs_review:
        return CommandResult(CommandStatus.HELD, HeldReason.NEEDS_REVIEW, Reason("needs_review"))
    return CommandResult(CommandStatus.APPLIED, number=getattr(row, "number", None), row_id=_changed_row_id(row))


@dataclass(frozen=True)
class CommandCall:
    """A command with its arguments and who acts."""

    actor: Actor
    command: Command[Any, Any]
    args: Mapping[str, Any]
    v: int


def execute_together(shop_id: UUID, calls: Sequence[CommandCall]) -> list[CommandResult] | None:
    """Run commands in order in one savepoint, if none of them fails; None, and nothing is written, if one does.

    Then each is to be run by `execute` in a savepoint of its own, with the same results up to the one that fails. Most
    queues hold nothing that is refused: in one savepoint, audit events, checks of new ids and of issues take one
    statement for all of them instead of one each. Raises only OperationalError (database busy).
    """
    new = [(ROWS_CREATED[call.command.name], row_id) for call in calls if (row_id := _new_row_id(call)) is not None]
    facts = [call.actor.command_id for call in calls if call.command.fact and call.actor.command_id is not None]
    try:
        with transaction.atomic():
            with recorded_together(), checked_together(new):
                rows = [call.command.run_version(actor=call.actor, args=call.args, v=call.v) for call in calls]
            reviewed = queries.reviewed_commands(shop_id, facts) if facts else set()
    except OperationalError:
        raise
    except Exception:  # noqa: BLE001 - whatever it is, it comes again and is answered when each runs alone
        return None
    found = zip(calls, rows, strict=True)
    return [_applied(row, needs_review=call.actor.command_id in reviewed) for call, row in found]


def _new_row_id(call: CommandCall) -> UUID | None:
    """The id under which a call creates a row; None if it creates none, or its arguments will be refused."""
    if call.command.name not in ROWS_CREATED:
        return None
    try:
        return UUID(str(call.args.get("id")))
    except ValueError:
        return None


def _changed_row_id(row: Any) -> UUID | None:
    """The id of the row that a command changed; for a settled conflict, the row in conflict."""
    settled = isinstance(row, Issue) and row.kind == Issue.Kind.CONFLICT
    found = row.entity_id if settled else getattr(row, "pk", None)
    return found if isinstance(found, UUID) else None


def _needs_review(actor: Actor) -> bool:
    """Whether the command opened an issue now; an issue about the command itself is from an earlier attempt."""
    return actor.command_id is not None and bool(queries.reviewed_commands(actor.shop_id, [actor.command_id]))


def _unknown(command: Command[Any, Any] | None) -> CommandResult:
    if command is not None and not can_be_held(command):
        return CommandResult(CommandStatus.REJECTED, HeldReason.UNKNOWN, Reason("never_held"))
    return CommandResult(CommandStatus.HELD, HeldReason.UNKNOWN, Reason("unknown_command"))


def _internal_error(command: Command[Any, Any], error: Exception) -> CommandResult:
    trace = uuid.uuid4().hex
    log.error("command %s failed: %s", command.name, trace, exc_info=error)
    if can_be_held(command):
        return CommandResult(CommandStatus.HELD, HeldReason.INTERNAL, Reason("command_failed", {"trace": trace}))
    return CommandResult(
        CommandStatus.REJECTED, HeldReason.INTERNAL, Reason("command_failed_for_good", {"trace": trace})
    )


def _refuse_or_hold(
    actor: Actor, command: Command[Any, Any], args: Mapping[str, Any], error: DomainError
) -> CommandResult:
    if not command.fact:
        return CommandResult(CommandStatus.REJECTED, error.code, error.reason, error.fields)
    return hold_command(actor, command, command.name, args, error)


def hold_command(
    actor: Actor, command: Command[Any, Any] | None, name: str, args: Mapping[str, Any], error: DomainError
) -> CommandResult:
    """Hold a command without running it and open an issue, so that a person may apply it after all.

    A command that cannot be held is rejected. `command` is None if this server does not know the name.
    """
    if command is not None and not can_be_held(command):
        return CommandResult(CommandStatus.REJECTED, error.code, Reason("never_held"), error.fields)
    issues = held_issues(actor.shop_id, actor.command_id).filter(state=Issue.State.OPEN)
    if error.code == HeldReason.RETIRED:
        # One opened while it waited says now who settles it.
        issues.exclude(words=pack(error.reason)).update(words=pack(error.reason))
    if not issues.exists():
        open_issue(
            shop_id=actor.shop_id,
            kind=Issue.Kind.HELD,
            command_id=actor.command_id,
            name=name if command is None else command.name,
            entity=(HELD_COMMAND, actor.command_id),
            reason=error.reason,
            theirs={},
            ours=dict(args),
            member_id=actor.member_id,
        )
    if command is not None:
        describe_held_time(actor, command, args)
    return CommandResult(CommandStatus.HELD, error.code, error.reason, error.fields)


def held_issues(shop_id: UUID, command_id: UUID | None) -> QuerySet[Issue]:
    """The issues about a held command."""
    return Issue.objects.filter(shop_id=shop_id, command_id=command_id, entity_kind=HELD_COMMAND)


def _missing_row_id(shop_id: UUID, row_id: str) -> UUID | None:
    """The id of a row that this shop never had and that may still arrive; None if it had it, removed or hidden.

    Such a row may still be created: its command was rejected and is sent again corrected, or is on a phone that has not
    pushed it yet. An id of another shop's row counts as unknown.
    """
    try:
        missing = UUID(row_id)
    except ValueError:
        return None
    return None if queries.known_row_ids(shop_id, [missing]) else missing


def run_unblocked(shop_id: UUID, seq: int, commands: Mapping[str, Command[Any, Any]] = COMMANDS) -> None:
    """Run, in order, the commands whose missing row or command has arrived, and then those that waited for them.

    The caller holds the per-shop write lock; `seq` is the number of its commit. Commands that a person left out are
    not run.
    """
    progress = queries.any_waits(shop_id)
    while progress:
        progress = False
        for found in (queries.unblocked_commands(shop_id), queries.commands_awaiting_restore(shop_id)):
            named = found.values_list("id", "name")
            for command_id in [command_id for command_id, name in named if name in commands]:
                # An earlier one in this loop may have run this one too.
                logged = queries.waiting_commands(shop_id).filter(id=command_id).first()
                if logged is not None:
                    was = logged.code, logged.waits_for
                    rerun_command(logged, seq, commands)
                    progress |= was != (logged.code, logged.waits_for)


def open_held_issue(logged: LoggedCommand) -> None:
    """Open an issue about an overdue command. It keeps waiting until someone decides."""
    overdue = Conflict(HeldReason.WAITING, reason=unpack(logged.words) if logged.words else Reason("not_here_yet"))
    hold_command(_sender_actor(logged), COMMANDS.get(logged.name), logged.name, logged.args, overdue)


def actor_for_member(member: Member) -> Actor:
    """An actor with the permissions of a member's role, whether the membership has ended or not."""
    return actor_of(member.shop_id, member.id, Role(member.role), may_see_cost=member.may_see_cost)


def _sender_actor(logged: LoggedCommand) -> Actor:
    actor = actor_for_member(Member.objects.get(id=logged.member_id))
    return replace(
        actor,
        device_id=logged.device_id,
        command_id=logged.id,
        skew_ms=logged.skew_ms,
        or_skew_ms=logged.or_skew_ms,
    )


def rerun_command(
    logged: LoggedCommand,
    seq: int,
    commands: Mapping[str, Command[Any, Any]] = COMMANDS,
    *,
    settler: Actor | None = None,
) -> LoggedCommand:
    """Run a held command again, as the member who sent it, with their current permissions.

    With a `settler`, the permissions of both are needed, so that nobody gains any by settling. Without one, a command
    from a device signed off since, or of a member whose membership has ended, is not run: it becomes an issue, or is
    rejected if it cannot be held.
    """
    acting = _sender_actor(logged)
    command = commands.get(logged.name)
    if settler is not None:
        acting = replace(acting, permissions=acting.permissions & settler.permissions, settled_by=settler.member_id)
    is_holdable = can_be_held if logged.earlier is None else can_be_restored
    if command is not None and not is_holdable(command):
        result = CommandResult(CommandStatus.REJECTED, "never_held", Reason("never_held"))
    elif settler is None and (retired := reason_to_hold(logged.device)) is not None:
        result = hold_command(acting, command, logged.name, logged.args, retired)
    elif settler is not None or logged.earlier is None:
        result = execute(acting, command, logged.args, v=logged.v)
    else:
        earlier = EarlierOutcome.model_validate_json(json.dumps(logged.earlier))
        result = execute_restored(acting, command, logged.args, earlier, v=logged.v)
    logged.status, logged.code, logged.words = result.status, result.code, result.stored_reason
    logged.fields = [fault.to_json() for fault in result.fields]
    logged.waits_for = result.waits_for
    record_result(logged, result, seq, last_applied=queries.last_applied)
    logged.save()
    if result.took_effect:
        issues = held_issues(logged.shop_id, logged.id).filter(state=Issue.State.OPEN)
        issues.update(state=Issue.State.RESOLVED, choice="ours")
    return logged


def record_result(
    logged: LoggedCommand, result: CommandResult, seq: int, *, last_applied: Callable[[UUID, UUID], UUID | None]
) -> None:
    """Set the columns that say the place of a command in the history of its row; the caller saves it.

    `last_applied(shop_id, row_id)`: the command that was applied on that row before.
    """
    applied = result.status == CommandStatus.APPLIED
    logged.seq = seq if applied else None
    logged.carried_out_at = now() if applied else None
    logged.row_id, logged.number = result.row_id, result.number
    logged.after = last_applied(logged.shop_id, logged.row_id) if logged.row_id else None


def reason_to_hold(device: Device) -> Conflict | None:
    """Why commands of this device are held, or None while the device and its membership are active."""
    if was_signed_off_by_leaving(device) or (device.revoked_at is None and not device.member.active):
        return Conflict(HeldReason.RETIRED, message="membership_over")
    return None if device.revoked_at is None else Conflict(HeldReason.RETIRED, message="device_retired")
