"""Checks of an entry: whose it is, who may change it, and whether the work it names exists."""

from typing import Any
from uuid import UUID

from shopapi.accounts.models import Member
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.errors import Conflict, FieldError, Invalid, NotFound, refuse_faults
from shopapi.core.rows import row_for
from shopapi.jobs.models import Job
from shopapi.labor import queries
from shopapi.labor.models import TimeEntry
from shopapi.labor.rules.entry import (
    EntryState,
    WorkDetails,
    faults_of,
)


def own_entry(actor: Actor, entry_id: UUID) -> TimeEntry:
    """An entry of the actor's own, or anybody's for those who may correct time. Raises NotFound, Forbidden."""
    entry = queries.entry_for(actor, entry_id)
    if entry.member_id != actor.member_id:
        actor.require(Permission.CORRECT_TIME)
    return entry


def correctable_entry(actor: Actor, entry_id: UUID, *, field: str = "id") -> TimeEntry:
    entry = queries.entry_for(actor, entry_id, field=field)
    if entry.member_id != actor.member_id:
        actor.require(Permission.CORRECT_TIME)
    if entry.state == EntryState.REPLACED:
        raise Conflict("entry_replaced", fields=[FieldError(field, "entry_replaced")])
    return entry


def member_for(actor: Actor, member_id: UUID | None) -> UUID:
    if member_id is None or member_id == actor.member_id:
        if actor.member_id is None:
            raise Invalid("invalid", fields=[FieldError("member_id", "missing", message="member_missing")])
        return actor.member_id
    actor.require(Permission.CORRECT_TIME)
    if not Member.objects.filter(shop=actor.shop_id, id=member_id).exists():
        raise NotFound("member", member_id, field="member_id")
    return member_id


def checked_work(actor: Actor, data: WorkDetails) -> dict[str, Any]:
    """The columns that say what the time was for. Raises Invalid or NotFound."""
    refuse_faults(faults_of(data), message="fields_invalid")
    if data.job_id is not None:
        row_for(Job, actor, data.job_id, field="job_id")
    if data.repairs_id is not None:
        queries.entry_for(actor, data.repairs_id, field="repairs_id")
    columns = data.model_dump(include=set(WorkDetails.model_fields))
    return {**columns, "cause": data.cause or ""}
