"""Carrying out one command: applied, rejected, or held; never an error that stops the ones behind it."""

import logging
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any
from uuid import UUID

from django.db import IntegrityError, OperationalError, transaction

from shopapi.accounts.models import Member
from shopapi.accounts.queries import actor_of
from shopapi.accounts.rules import Role
from shopapi.core.actor import Actor
from shopapi.core.commands import Command
from shopapi.core.errors import DomainError, FieldError, NotFound
from shopapi.core.feed import lay_before_people
from shopapi.core.models import Issue
from shopapi.core.rows import id_taken, takes_known_id
from shopapi.core.shape import decode
from shopapi.sync.models import LoggedCommand
from shopapi.sync.rules import Status
from shopapi.sync.services.catalog import CHANGERS, COMMANDS

log = logging.getLogger("shopapi.sync")


@dataclass(frozen=True)
class Verdict:
    """What carrying out a command came to. `waits_for`: the row that must exist before it can run."""

    status: Status
    code: str | None = None
    words: str | None = None
    fields: Sequence[FieldError] = ()
    waits_for: UUID | None = None


def carry_out(actor: Actor, command: Command[Any, Any] | None, args: Mapping[str, Any]) -> Verdict:
    """Run a command in a savepoint of the caller's transaction, which holds the shop's place in line.

    None stands for a command that this server does not know. A refused intent is rejected, a refused fact held and
    laid before people; what waits for a refused command is held with it; a fault of ours is held too. Only a busy
    database passes through, as OperationalError.
    """
    if command is None:
        return Verdict(Status.HELD, "unknown_command", "This server does not know this command yet; it is kept.")
    try:
        with transaction.atomic():
            command.within(actor=actor, data=decode(command.shape, args))
            doubted = command.fact and Issue.objects.filter(shop_id=actor.shop_id, command_id=actor.command_id).exists()
    except NotFound as error:
        waits_for = _made_by_a_refused_command(actor.shop_id, error.row_id)
        if waits_for is not None:
            words = "This rests on something that was not accepted. Mend that, and this follows by itself."
            return Verdict(Status.HELD, "waits_for", words, error.fields, waits_for)
        return _refused(actor, command, args, error)
    except DomainError as error:
        return _refused(actor, command, args, error)
    except OperationalError:
        raise
    except IntegrityError as error:
        if takes_known_id(error):
            return _refused(actor, command, args, id_taken())
        return _our_fault(command.name, error)
    except Exception as error:  # noqa: BLE001 - one command's fault must not stop the queue behind it
        return _our_fault(command.name, error)
    if doubted:
        return Verdict(Status.HELD, "doubted", "This is kept, but a person must look at it.")
    return Verdict(Status.APPLIED)


def _our_fault(name: str, error: Exception) -> Verdict:
    trace = uuid.uuid4().hex
    log.error("command %s failed: %s", name, trace, exc_info=error)
    return Verdict(Status.HELD, "internal", f"Something failed here, not with you. It is kept under {trace}.")


def _refused(actor: Actor, command: Command[Any, Any], args: Mapping[str, Any], error: DomainError) -> Verdict:
    if not command.fact:
        return Verdict(Status.REJECTED, error.code, error.words, error.fields)
    return hold(actor, command.name, args, error)


def hold(actor: Actor, name: str, args: Mapping[str, Any], error: DomainError) -> Verdict:
    """Keep a command unexecuted and lay it before people, who may have it carried out after all."""
    lay_before_people(
        shop_id=actor.shop_id,
        kind=Issue.Kind.HELD,
        command_id=actor.command_id,
        name=name,
        entity=("command", actor.command_id),
        words=error.words,
        theirs={},
        ours=dict(args),
        member_id=actor.member_id,
    )
    return Verdict(Status.HELD, error.code, error.words, error.fields)


def _made_by_a_refused_command(shop_id: UUID, row_id: str) -> UUID | None:
    """The id, if some command of the shop was to make this row and has not been accepted yet."""
    refused = LoggedCommand.objects.filter(shop=shop_id, args__id=row_id, status__in=[Status.REJECTED, Status.HELD])
    return UUID(row_id) if refused.exclude(name__in=CHANGERS).exists() else None


def release(shop_id: UUID, row_id: UUID, seq: int) -> None:
    """Carry out, in order, what has waited for a row that exists now, and what waited for that in turn."""
    waiting = LoggedCommand.objects.filter(shop=shop_id, waits_for=row_id, status=Status.HELD)
    for command_id in list(waiting.order_by("received_at", "device", "no").values_list("id", flat=True)):
        # One released before it may have released this one too.
        logged = waiting.filter(id=command_id).first()
        if logged is not None:
            rerun(logged, seq)


def acting_as(member: Member) -> Actor:
    """An actor with the permissions of a member's role, whether the membership has ended or not."""
    return actor_of(member.shop_id, member.id, Role(member.role), may_see_cost=member.may_see_cost)


def rerun(logged: LoggedCommand, seq: int) -> LoggedCommand:
    """Carry out a held command again, as the member who gave it, with the permissions of today."""
    actor = acting_as(Member.objects.get(id=logged.member_id))
    acting = replace(actor, device_id=logged.device_id, command_id=logged.id, skew_ms=logged.skew_ms)
    verdict = carry_out(acting, COMMANDS.get(logged.name), logged.args)
    logged.status, logged.code, logged.words = verdict.status, verdict.code, verdict.words
    logged.fields = [asdict(fault) for fault in verdict.fields]
    logged.waits_for = verdict.waits_for
    logged.seq = seq if verdict.status == Status.APPLIED else None
    logged.save(update_fields=["status", "code", "words", "fields", "waits_for", "seq"])
    if verdict.status == Status.APPLIED:
        release(logged.shop_id, UUID(logged.args["id"]), seq)
    return logged
