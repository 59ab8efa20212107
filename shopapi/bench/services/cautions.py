"""Keeps which cautions were read on a job."""

from shopapi.accounts.rules import Permission
from shopapi.bench.models import CautionSeen
from shopapi.bench.rules.cautions import CautionSeenRecord
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.jobs.models import Job


@command(needs=Permission.WORK_JOBS, fact=True, creates_row=True)
def acknowledge_caution(*, actor: Actor, data: CautionSeenRecord) -> CautionSeen:
    """Keep that the actor has read a caution on a job."""
    refuse_known_id(CautionSeen, data.id)
    row_for(Job, actor, data.job_id, field="job_id")
    seen = CautionSeen.objects.create(
        shop_id=actor.shop_id,
        member_id=actor.member_id,
        **data.model_dump() | {"seen_at": actor.instant_of(data.seen_at)},
    )
    record(actor, "caution read", ("job", data.job_id), code=data.code)
    return seen
