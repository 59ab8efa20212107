"""Taking apart: steps with their fasteners, and putting them back."""

from collections.abc import Sequence
from datetime import datetime

from shopapi.accounts.rules import Permission
from shopapi.bench.models import RemovalStep
from shopapi.bench.rules.removal import RemovalRecord, RemovalStepFields, StepBack, StepMove, StepNotBack
from shopapi.bench.services.fasteners import check_torque, keep_fastener, keep_move
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.edits import edit_row, edited
from shopapi.core.errors import FieldError, Invalid
from shopapi.core.rows import refuse_known_id, remove_row, row_for
from shopapi.core.schema import Edit, Target
from shopapi.jobs.models import Job


@command(needs=Permission.WORK_JOBS, fact=True, creates_row=True)
def record_removal(*, actor: Actor, data: RemovalRecord) -> RemovalStep:
    """Record what was taken off or loosened, with its fasteners."""
    refuse_known_id(RemovalStep, data.id)
    row_for(Job, actor, data.job_id, field="job_id")
    _check_behind(actor, data)
    for number, fastener in enumerate(data.fasteners):
        check_torque(fastener, f"fasteners.{number}.torque_unit")
    step = RemovalStep.objects.create(
        shop_id=actor.shop_id,
        taken_by_id=actor.member_id,
        **data.model_dump(exclude={"fasteners"}) | {"taken_at": actor.instant_of(data.taken_at)},
    )
    for fastener in data.fasteners:
        keep_fastener(actor, step.id, fastener)
    record(actor, "removal recorded", ("job", data.job_id), step=step.id, fasteners=len(data.fasteners))
    return step


@command(needs=Permission.WORK_JOBS)
def edit_removal_step(*, actor: Actor, data: Edit[RemovalStepFields]) -> RemovalStep:
    """Change what is known of a step."""
    step = row_for(RemovalStep, actor, data.id)
    _check_behind(actor, edited(step, data), step)
    return edit_row(actor=actor, kind="removal_step", row=step, edit=data)


def _check_behind(actor: Actor, fields: RemovalStepFields, step: RemovalStep | None = None) -> None:
    """Refuse a step behind itself, and one behind a step of another job."""
    if fields.behind_id is None:
        return
    cover = row_for(RemovalStep, actor, fields.behind_id, field="behind_id", lock=False)
    job_id = step.job_id if step is not None else getattr(fields, "job_id", None)
    if cover.job_id != job_id or (step is not None and cover.id == step.id):
        raise Invalid("invalid", fields=[FieldError("behind_id", "another_job", message="behind_another_job")])


@command(needs=Permission.WORK_JOBS, deletes_row=True)
def remove_removal_step(*, actor: Actor, data: Target) -> RemovalStep:
    """Delete a step recorded by mistake, with its fasteners; not once something refers to them."""
    step = row_for(RemovalStep, actor, data.id)
    for fastener in step.fasteners.all():
        remove_row(fastener, "removal_step_in_use")
    remove_row(step, "removal_step_in_use")
    record(actor, "removal deleted", ("job", step.job_id), what=step.what)
    return step


@command(needs=Permission.WORK_JOBS, fact=True)
def put_step_back(*, actor: Actor, data: StepBack) -> RemovalStep:
    """Record that a step is back, with what became of its fasteners. The first time counts."""
    step = row_for(RemovalStep, actor, data.id)
    at = actor.instant_of(data.back_at)
    _keep_moves(actor, data.moves, at)
    if step.back_at is None:
        step.back_at, step.back_by_id = at, actor.member_id
        step.save(update_fields=["back_at", "back_by"])
    record(actor, "step put back", ("job", step.job_id), step=step.id, moves=len(data.moves))
    return step


@command(needs=Permission.WORK_JOBS, fact=True)
def undo_put_back(*, actor: Actor, data: StepNotBack) -> RemovalStep:
    """Correct that a step is not back; its moves are cancelled by their opposites."""
    step = row_for(RemovalStep, actor, data.id)
    _keep_moves(actor, data.moves, actor.instant_of(data.undone_at))
    step.back_at = step.back_by_id = None
    step.save(update_fields=["back_at", "back_by"])
    record(actor, "step not back", ("job", step.job_id), step=step.id)
    return step


def _keep_moves(actor: Actor, moves: Sequence[StepMove], at: datetime) -> None:
    for number, move in enumerate(moves):
        keep_move(actor, move, at, path=f"moves.{number}.")
