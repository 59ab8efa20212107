"""Needs that follow from what a customer accepted."""

from collections.abc import Collection, Sequence
from uuid import UUID

from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.parts.models import PartNeed
from shopapi.parts.rules.accepted import AcceptedPart, KnownNeed, needs_to_follow
from shopapi.parts.rules.needs import PartState
from shopapi.parts.services.needs import derive_part_waits, set_part_state


def need_accepted_parts(
    *, actor: Actor, job_id: UUID, accepted: Sequence[AcceptedPart], former_lines: Collection[UUID]
) -> None:
    """Make what a job needs follow a decision; the caller holds the transaction and the shop's write lock."""
    rows = {row.id: row for row in PartNeed.objects.filter(shop=actor.shop_id, job=job_id).order_by("created_at", "id")}
    known = [KnownNeed(row.id, row.line_id, row.number, row.description, PartState(row.state)) for row in rows.values()]
    follow = needs_to_follow(accepted, known, former_lines)
    for need_id, part in follow.taken_over.items():
        rows[need_id].line_id, rows[need_id].agreed_minor = part.line_id, part.agreed_minor
        rows[need_id].save(update_fields=["line_id", "agreed_minor"])
    for need_id in follow.cancelled:
        set_part_state(actor=actor, need=rows[need_id], state=PartState.CANCELLED)
    for part in follow.added:
        number, description = part.name
        need = PartNeed.objects.create(
            id=part.line_id,
            shop_id=actor.shop_id,
            job_id=job_id,
            finding_id=part.finding_id,
            line_id=part.line_id,
            number=number,
            description=description,
            quantity=part.quantity,
            cost_minor=part.cost_minor,
            agreed_minor=part.agreed_minor,
            core_minor=part.core_minor,
        )
        record(actor, "part wanted", ("part_need", need.id), job=job_id, description=description)
    derive_part_waits(actor, job_id)
