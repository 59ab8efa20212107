"""Clocked hours as they stand in the database, many at a time: reports read them, whoever wrote them."""

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
    """An ended span of the actor's own that counts, or one that runs."""
    told = {"state": "open" if ended is None else "closed", "cause": "other" if kind == "rework" else "", **more}
    with in_shop(actor.shop_id):
        return TimeEntry.objects.create(
            id=uuid7(),
            shop_id=actor.shop_id,
            member_id=member_of(actor),
            job_id=job,
            kind=kind,
            started_at=began,
            ended_at=ended,
            **told,
        )


def finish(actor: Actor, job: UUID) -> None:
    """The job has gone home."""
    with in_shop(actor.shop_id):
        Job.objects.filter(id=job).update(stage="closed")


def a_history(shop_id: UUID, **more: object) -> WorkHistory:
    """What cleaning a carburetor took on nine garden tractors: 30 minutes to 2 hours."""
    told = {"operation": "carburetor clean", "machine_kind": "garden tractor", "reworked": 0}
    minutes = [30, 40, 45, 50, 60, 70, 80, 95, 120]
    with in_shop(shop_id):
        return WorkHistory.objects.create(**{**told, "minutes": minutes, **more}, shop_id=shop_id)
