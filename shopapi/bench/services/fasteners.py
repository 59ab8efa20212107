"""Fasteners and what became of each: the ledger's only writer."""

from datetime import datetime
from uuid import UUID

from shopapi.accounts.rules import Permission
from shopapi.bench.models import Fastener, FastenerMove, RemovalStep
from shopapi.bench.rules.fasteners import FastenerFields, FastenerRecord, MoveFields, MoveRecord
from shopapi.bench.rules.removal import NewFastener, StepMove
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.edits import edit_row, edited
from shopapi.core.errors import FieldError, Invalid
from shopapi.core.rows import refuse_known_id, remove_row, row_for
from shopapi.core.schema import Edit, Target


@command(needs=Permission.WORK_JOBS, fact=True, creates_row=True)
def record_fastener(*, actor: Actor, data: FastenerRecord) -> Fastener:
    """Add a fastener to a step that is recorded already."""
    step = row_for(RemovalStep, actor, data.step_id, field="step_id")
    check_torque(data)
    fastener = keep_fastener(actor, step.id, data)
    record(actor, "fastener recorded", ("job", step.job_id), fastener=fastener.id)
    return fastener


@command(needs=Permission.WORK_JOBS)
def edit_fastener(*, actor: Actor, data: Edit[FastenerFields]) -> Fastener:
    """Change what is known of a fastener, its count too."""
    fastener = row_for(Fastener, actor, data.id)
    check_torque(edited(fastener, data))
    return edit_row(actor=actor, kind="fastener", row=fastener, edit=data, together=("torque", "torque_unit"))


@command(needs=Permission.WORK_JOBS, deletes_row=True)
def remove_fastener(*, actor: Actor, data: Target) -> Fastener:
    """Delete a fastener of which nothing became yet."""
    fastener = row_for(Fastener, actor, data.id)
    remove_row(fastener, "fastener_in_use")
    record(actor, "fastener deleted", ("removal_step", fastener.step_id), thread=fastener.thread)
    return fastener


@command(needs=Permission.WORK_JOBS, fact=True, creates_row=True)
def record_fastener_move(*, actor: Actor, data: MoveRecord) -> FastenerMove:
    """Record what became of fasteners. More back than out is kept too: the ledger says so."""
    move = keep_move(actor, data, actor.instant_of(data.moved_at))
    record(actor, "fastener moved", ("fastener", data.fastener_id), kind=data.kind, count=data.count)
    return move


def check_torque(fields: FastenerFields | MoveFields, path: str = "torque_unit") -> None:
    """Raise Invalid for a torque without its unit."""
    if fields.torque is not None and not fields.torque_unit:
        raise Invalid("invalid", fields=[FieldError(path, "missing", message="torque_unit_missing")])


def keep_fastener(actor: Actor, step_id: UUID, data: NewFastener | FastenerRecord) -> Fastener:
    refuse_known_id(Fastener, data.id)
    return Fastener.objects.create(shop_id=actor.shop_id, **data.model_dump() | {"step_id": step_id})


def keep_move(actor: Actor, data: StepMove | MoveRecord, at: datetime, *, path: str = "") -> FastenerMove:
    """Store a move of a fastener. Raises Invalid for none at all, NotFound where the fastener is unknown."""
    refuse_known_id(FastenerMove, data.id)
    if data.count == 0:
        raise Invalid("invalid", fields=[FieldError(f"{path}count", "none_moved", message="no_fastener_moved")])
    check_torque(data, f"{path}torque_unit")
    row_for(Fastener, actor, data.fastener_id, field=f"{path}fastener_id", lock=False)
    if data.at_id is not None:
        row_for(Fastener, actor, data.at_id, field=f"{path}at_id", lock=False)
    return FastenerMove.objects.create(
        shop_id=actor.shop_id, member_id=actor.member_id, **data.model_dump() | {"moved_at": at}
    )
