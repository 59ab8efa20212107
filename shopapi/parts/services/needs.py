"""Parts that jobs need: their only writer."""

from datetime import datetime
from uuid import UUID

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.edits import edit_row, edited
from shopapi.core.errors import Conflict, FieldError, Invalid, refuse_faults
from shopapi.core.events import publish
from shopapi.core.rows import refuse_known_id, remove_row, row_for
from shopapi.core.schema import Edit, Target
from shopapi.jobs.models import Finding, Job
from shopapi.jobs.rules import Waits
from shopapi.jobs.services import set_wait
from shopapi.parts.models import CatalogPart, PartNeed, Supplier
from shopapi.parts.rules.catalog import number_faults
from shopapi.parts.rules.needs import (
    PART_TRANSITIONS,
    NewPartNeed,
    PartFitting,
    PartNeedFields,
    PartNeedMove,
    PartState,
    waits_on_parts,
)

PRICED = frozenset({"cost_minor", "price_minor"})
"""The fields of a part that its price follows from."""


@command(needs=Permission.WORK_JOBS, creates_row=True)
def add_part_need(*, actor: Actor, data: NewPartNeed) -> PartNeed:
    """Add a part that a job needs."""
    refuse_known_id(PartNeed, data.id)
    row_for(Job, actor, data.job_id, field="job_id")
    _check(actor, data.job_id, data)
    need = PartNeed.objects.create(shop_id=actor.shop_id, **data.model_dump())
    record(actor, "part wanted", ("part_need", need.id), job=need.job_id, description=need.description)
    derive_part_waits(actor, need.job_id)
    return need


@command(needs=Permission.WORK_JOBS)
def edit_part_need(*, actor: Actor, data: Edit[PartNeedFields]) -> PartNeed:
    """Edit a part that a job needs."""
    need = row_for(PartNeed, actor, data.id)
    _check(actor, need.job_id, edited(need, data))
    edit_row(actor=actor, kind="part_need", row=need, edit=data)
    if not PRICED.isdisjoint(data.set):
        publish("part_priced", actor=actor, need=need)
    return need


def set_above_agreed(*, need: PartNeed, above: bool) -> None:
    """Keep whether the price of a part is above the one agreed. The caller holds the shop's write lock."""
    if need.above_agreed != above:
        need.above_agreed = above
        need.save(update_fields=["above_agreed"])


@command(needs=Permission.WORK_JOBS)
def move_part_need(*, actor: Actor, data: PartNeedMove) -> PartNeed:
    """Move a part to another state. That it is fitted is a fact of its own."""
    need = row_for(PartNeed, actor, data.id)
    before = PartState(need.state)
    if data.state == PartState.FITTED:
        raise Invalid("invalid", fields=[FieldError("state", "part_fitted_is_fact")])
    if data.state not in PART_TRANSITIONS[before]:
        context = {"part_before": before, "part_state": data.state}
        raise Conflict(
            "part_state_not_next",
            fields=[FieldError("state", "part_state_not_next", context=context)],
            context=context,
        )
    set_part_state(actor=actor, need=need, state=data.state)
    return need


@command(needs=Permission.WORK_JOBS, fact=True)
def fit_part(*, actor: Actor, data: PartFitting) -> PartNeed:
    """Keep that a part is on the machine, whatever was known of it; one that is fitted already stays as it is."""
    need = row_for(PartNeed, actor, data.id)
    if need.state != PartState.FITTED:
        set_part_state(actor=actor, need=need, state=PartState.FITTED, fitted_at=actor.instant_of(data.fitted_at))
    return need


@command(needs=Permission.WORK_JOBS, deletes_row=True)
def remove_part_need(*, actor: Actor, data: Target) -> PartNeed:
    """Remove a part that was added by mistake."""
    need = row_for(PartNeed, actor, data.id)
    if need.state not in (PartState.WANTED, PartState.CANCELLED):
        raise Conflict("in_use", message="part_need_in_use")
    remove_row(need, "part_need_in_use")
    record(actor, "part need removed", ("job", need.job_id), description=need.description)
    derive_part_waits(actor, need.job_id)
    return need


def set_part_state(*, actor: Actor, need: PartNeed, state: PartState, fitted_at: datetime | None = None) -> None:
    """Write a state with what follows from it; the caller has checked it, and holds the transaction and the row."""
    before = need.state
    need.state, need.fitted_at = state, fitted_at
    if state != PartState.FITTED and before == PartState.FITTED:
        need.used_from_id = None
    need.save(update_fields=["state", "fitted_at", "used_from_id"])
    record(actor, "part need moved", ("part_need", need.id), before=before, after=state)
    derive_part_waits(actor, need.job_id)


def derive_part_waits(actor: Actor, job_id: UUID) -> None:
    """Update whether a job waits on parts; the caller holds the transaction."""
    job = row_for(Job, actor, job_id)
    states = PartNeed.objects.filter(shop=actor.shop_id, job=job).values_list("state", flat=True)
    set_wait(actor=actor, job=job, wait=Waits.PARTS, waiting=waits_on_parts(states))


def _check(actor: Actor, job_id: UUID, data: PartNeedFields) -> None:
    """Refuse rows of other shops, a finding of another job, and a number that replaces itself."""
    if data.finding_id is not None and row_for(Finding, actor, data.finding_id, field="finding_id").job_id != job_id:
        raise Invalid(
            "invalid", fields=[FieldError("finding_id", "another_job", message="item_finding_of_another_job")]
        )
    if data.catalog_part_id is not None:
        row_for(CatalogPart, actor, data.catalog_part_id, field="catalog_part_id")
    if data.supplier_id is not None:
        row_for(Supplier, actor, data.supplier_id, field="supplier_id")
    refuse_faults(number_faults(data.number, data.superseded_by))
