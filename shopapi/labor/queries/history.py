"""How long each operation took on finished jobs."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Count, DurationField, ExpressionWrapper, F, Max, Q, QuerySet, Sum

from shopapi.core.actor import Actor
from shopapi.jobs.rules import Stage
from shopapi.labor.models import TimeEntry, WorkHistory
from shopapi.labor.rules.entry import JOB_KINDS, EntryState
from shopapi.labor.rules.history import MOST_KEPT, name_key

# States of a job whose repair is finished, so that its hours are final.
FINISHED = (Stage.READY, Stage.RETURNED, Stage.CLOSED)


@dataclass(frozen=True)
class FinishedWork:
    """One operation on one finished job: whole minutes, at least one; `reworked` if some of them were rework."""

    operation: str
    machine_kind: str
    job_id: UUID
    minutes: int
    reworked: bool
    ended_at: datetime


def work_histories(actor: Actor) -> QuerySet[WorkHistory]:
    return WorkHistory.objects.filter(shop=actor.shop_id)


def finished_work(actor: Actor) -> list[FinishedWork]:
    """Every named operation on finished jobs, in the order of its end.

    Rework counts towards the time of its operation. An operation with running or disputed time is left out, since its
    hours are not known yet.
    """
    took = ExpressionWrapper(F("ended_at") - F("started_at"), output_field=DurationField())
    settled = Q(state=EntryState.CLOSED)
    entries = (
        TimeEntry.objects.filter(
            ~Q(operation=""),
            shop=actor.shop_id,
            kind__in=JOB_KINDS,
            state__in=[EntryState.OPEN, EntryState.CLOSED, EntryState.DISPUTED],
            job__stage__in=FINISHED,
        )
        .values_list("job", "job__machine__kind", "operation")
        .annotate(
            took=Sum(took, filter=settled),
            unsettled=Count("id", filter=~settled),
            again=Count("id", filter=Q(kind="rework")),
            last=Max("ended_at"),
        )
    )
    found: dict[tuple[UUID, str], FinishedWork] = {}
    left_out = set()
    for job_id, kind, operation, duration, unsettled, again, last in entries:
        key = (job_id, name_key(operation))
        if unsettled or duration is None:
            left_out.add(key)
            continue
        minutes = max(1, round(duration.total_seconds() / 60))
        one = FinishedWork(key[1], name_key(kind), job_id, minutes, again > 0, last)
        found[key] = one if key not in found else _add_up(found[key], one)
    kept = [one for key, one in found.items() if key not in left_out]
    return sorted(kept, key=lambda one: (one.ended_at, one.job_id))


def _add_up(one: FinishedWork, other: FinishedWork) -> FinishedWork:
    # The same operation in two spellings.
    return FinishedWork(
        one.operation,
        one.machine_kind,
        one.job_id,
        one.minutes + other.minutes,
        one.reworked or other.reworked,
        max(one.ended_at, other.ended_at),
    )


def summaries(jobs: Iterable[FinishedWork]) -> dict[tuple[str, str], tuple[list[int], int]]:
    """By operation and kind of machine: the minutes of the latest jobs, shortest first, and how many had rework."""
    groups: dict[tuple[str, str], list[FinishedWork]] = {}
    for one in jobs:
        groups.setdefault((one.operation, one.machine_kind), []).append(one)
    return {key: _summary(theirs[-MOST_KEPT:]) for key, theirs in groups.items()}


def _summary(jobs: Sequence[FinishedWork]) -> tuple[list[int], int]:
    return sorted(one.minutes for one in jobs), sum(one.reworked for one in jobs)
