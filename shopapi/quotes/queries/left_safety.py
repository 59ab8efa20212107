"""Safety findings of a job that its customer was told of and wants left."""

from datetime import datetime
from uuid import UUID

from shopapi.jobs.queries import left_findings
from shopapi.quotes.rules.left_safety import LeftDevice, LeftUnrepaired


def left_unrepaired(shop_id: UUID, job_id: UUID, *, at: datetime) -> list[LeftUnrepaired]:
    """What the customer was told by an instant and wants left, oldest first, without what was repaired by then."""
    return [
        LeftUnrepaired(
            finding=told.finding_words,
            devices=[LeftDevice(item.device, item.condition) for item in items],
            lost=told.protection_lost.rstrip("."),
            who=told.acknowledged_by_name,
            how=told.how,
            at=told.acknowledged_at,
        )
        for told, items in left_findings(shop_id, job_id, at=at)
    ]
