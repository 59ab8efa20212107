"""Quoted against clocked hours, with a fixed number of queries for any number of jobs."""

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from fractions import Fraction
from uuid import UUID

from django.db.models import DurationField, ExpressionWrapper, F, Max, QuerySet, Sum

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.jobs.models import Job
from shopapi.jobs.rules import Decision, Stage
from shopapi.labor.models import TimeEntry
from shopapi.labor.queries.history import FINISHED
from shopapi.labor.queries.hours import Period, names_of_members, unsettled_entries, work_spans
from shopapi.labor.queries.reports import round_to_places, unsettled_rows
from shopapi.labor.rules.entry import JOB_KINDS, EntryState
from shopapi.labor.rules.spans import clip_spans
from shopapi.labor.rules.week import efficiency, recovery
from shopapi.machines.rules import machine_text
from shopapi.quotes import queries
from shopapi.quotes.models import Line
from shopapi.quotes.queries.successors import successors_on
from shopapi.quotes.rules.progress import ClockedWork, JobProgress, QuotedLabor, progress_of
from shopapi.quotes.rules.schemas import JobProgressRow, LineProgressRow, QuotedReport

COUNTED_STATES = ("offered", "decided")
HOUR = 3600


def quoted_report(actor: Actor, period: Period) -> QuotedReport:
    """The jobs worked on in the period with all their hours, and the shop's efficiency and recovery.

    A finished job counts in the period of its last clocked time; its billed hours are those of the accepted lines.
    Recovery is only given to members who may see everybody's hours.
    """
    spans = list(clip_spans(work_spans(actor, period, None), period.begins_at, period.ends_at))
    job_ids = {span.job_id for span in spans if span.job_id is not None and span.kind in JOB_KINDS}
    lines, clocked, last = _lines(actor, job_ids), _clocked(actor, job_ids), _last(actor, job_ids)
    jobs = Job.objects.filter(shop=actor.shop_id, id__in=job_ids).select_related("machine").order_by("opened_at", "id")
    known = {line.id for each in lines.values() for line in each}
    replaced = {
        job_id for job_id, each in clocked.items() if any(work.line_id and work.line_id not in known for work in each)
    }
    successors = successors_on(actor, replaced)
    found = [(job, progress_of(lines.get(job.id, []), clocked.get(job.id, []), successors)) for job in jobs]
    ended = [
        progress
        for job, progress in found
        if job.stage in FINISHED and period.begins_at < last[job.id] <= period.ends_at
    ]
    billed = sum(progress.billed_seconds for progress in ended)
    paid = sum(span.seconds for span in spans)
    sees_all = actor.may(Permission.CORRECT_TIME)
    return QuotedReport(
        zone=period.zone,
        first=period.days[0].on,
        last=period.days[-1].on,
        jobs=[_row(job, progress) for job, progress in found],
        finished=len(ended),
        billed_seconds=billed,
        efficiency_percent=_percent(efficiency(billed, sum(progress.clocked_seconds for progress in ended))),
        paid_seconds=paid if sees_all else None,
        recovery_percent=_percent(recovery(billed, paid)) if sees_all else None,
        apart=unsettled_rows(
            names_of_members(actor),
            [one for one in unsettled_entries(actor, period, None) if sees_all or one.job_id is not None],
        ),
    )


def _lines(actor: Actor, job_ids: set[UUID]) -> Mapping[UUID, list[QuotedLabor]]:
    rows = (
        Line.objects.filter(shop=actor.shop_id, kind="labor", quote__job__in=job_ids, quote__state__in=COUNTED_STATES)
        .exclude(decided=Decision.DECLINED)
        .exclude(quote__in=queries.pending_revisions_on(job_ids))
    )
    found: dict[UUID, list[QuotedLabor]] = {}
    ordered = rows.order_by("quote__offered_at", "quote", "position", "id")
    for job_id, line_id, words, operation, hours, decided in ordered.values_list(
        "quote__job", "id", "words", "operation", "hours", "decided"
    ):
        seconds = None if hours is None else round(hours * HOUR)
        line = QuotedLabor(line_id, words, operation or "", seconds, decided == Decision.ACCEPTED)
        found.setdefault(job_id, []).append(line)
    return found


def _clocked(actor: Actor, job_ids: set[UUID]) -> Mapping[UUID, list[ClockedWork]]:
    took = ExpressionWrapper(F("ended_at") - F("started_at"), output_field=DurationField())
    sums = _on(actor, job_ids).values_list("job", "line_id", "operation").annotate(took=Sum(took))
    found: dict[UUID, list[ClockedWork]] = {}
    for job_id, line_id, operation, duration in sums:
        found.setdefault(job_id, []).append(ClockedWork(line_id, operation, int(duration.total_seconds())))
    return found


def _last(actor: Actor, job_ids: set[UUID]) -> Mapping[UUID, datetime]:
    return dict(_on(actor, job_ids).values_list("job").annotate(last=Max("ended_at")))


def _on(actor: Actor, job_ids: set[UUID]) -> QuerySet[TimeEntry]:
    return TimeEntry.objects.filter(shop=actor.shop_id, job__in=job_ids, kind__in=JOB_KINDS, state=EntryState.CLOSED)


def _row(job: Job, progress: JobProgress) -> JobProgressRow:
    machine = job.machine
    return JobProgressRow(
        job_id=job.id,
        number=job.number or job.mark,
        machine=machine_text(kind=machine.kind, make=machine.make, model=machine.model, serial=machine.serial),
        stage=Stage(job.stage),
        quoted_seconds=progress.quoted_seconds,
        billed_seconds=progress.billed_seconds,
        clocked_seconds=progress.clocked_seconds,
        efficiency_percent=_percent(efficiency(progress.billed_seconds, progress.clocked_seconds)),
        lines=[
            LineProgressRow(
                line_id=each.line.id,
                words=each.line.words,
                operation=each.line.operation,
                accepted=each.line.accepted,
                quoted_seconds=each.line.seconds,
                clocked_seconds=each.clocked_seconds,
            )
            for each in progress.lines
        ],
        elsewhere_seconds=progress.elsewhere_seconds,
    )


def _percent(ratio: Fraction | None) -> Decimal | None:
    return None if ratio is None else round_to_places(ratio, 1)
