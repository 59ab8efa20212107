"""Time entries inserted in bulk, for reports."""

from datetime import datetime
from typing import Any
from uuid import UUID

from shopapi.core.actor import Actor
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Job
from shopapi.labor.models import TimeEntry, WorkHistory
from tests.factories.crews import member_of


def an_entry(
    actor: Actor,
    began: datetime,
    ended: datetime | None,
    *,
    job: UUID | None = None,
    kind: str = "shop",
    **more: Any,
) -> TimeEntry:
    """A settled entry of the actor, or a running one."""
    fields = {"state": "open" if ended is None else "closed", "cause": "other" if kind == "rework" else "", **more}
    with in_shop(actor.shop_id):
        return TimeEntry.objects.create(
            id=uuid7(),
            shop_id=actor.shop_id,
            member_id=member_of(actor),
            job_id=job,
            kind=kind,
            started_at=began,
            ended_at=ended,
            **fields,
        )


def finish(actor: Actor, job: UUID) -> None:
    """Move the job to its last stage."""
    with in_shop(actor.shop_id):
        Job.objects.filter(id=job).update(stage="closed")


def a_history(shop_id: UUID, **more: object) -> WorkHistory:
    """Nine carburetor cleanings on garden tractors, of 30 minutes to 2 hours."""
    defaults = {"operation": "carburetor clean", "machine_kind": "garden tractor", "reworked": 0}
    minutes = [30, 40, 45, 50, 60, 70, 80, 95, 120]
    with in_shop(shop_id):
        return WorkHistory.objects.create(**{**defaults, "minutes": minutes, **more}, shop_id=shop_id)
