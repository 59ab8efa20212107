"""Comebacks of a period, with a fixed number of queries."""

from collections import Counter, defaultdict
from collections.abc import Collection, Sequence
from datetime import date
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Max, Q
from django.db.models.functions import Coalesce

from shopapi.accounts.rules import Permission
from shopapi.billing.queries.earnings import clocked_on, cost_of_parts, issued
from shopapi.billing.queries.invoices import settings_of, totals_of
from shopapi.billing.queries.warranty import meters_of, warranty_terms_of
from shopapi.billing.rules.comebacks import (
    Comeback,
    ComebackCost,
    ComebackReportRow,
    ComebacksReport,
    ComebackWarranty,
    FinishedJob,
    by_member,
    by_work,
    whole_group,
)
from shopapi.billing.rules.invoices import sign_of
from shopapi.billing.rules.warranty import MeterHours, WarrantyTerms, warranty_state
from shopapi.core.actor import Actor
from shopapi.core.money import minor_digits
from shopapi.jobs.models import Job
from shopapi.jobs.rules import Decision, Stage
from shopapi.labor.queries.history import FINISHED
from shopapi.labor.queries.hours import Period, names_of_members
from shopapi.labor.rules.entry import JOB_KINDS, EntryKind, EntryState
from shopapi.quotes.models import Line


def comebacks_report(actor: Actor, period: Period) -> ComebacksReport:
    """The comebacks opened in the period against the jobs finished in it, and what they cost."""
    jobs = list(
        Job.objects.filter(
            shop=actor.shop_id,
            comeback_of__isnull=False,
            opened_at__gte=period.begins_at,
            opened_at__lt=period.ends_at,
        )
        .exclude(stage=Stage.CANCELLED)
        .select_related("machine", "comeback_of")
        .order_by("-opened_at", "id")
    )
    rows = _rows(actor, jobs, ZoneInfo(period.zone))
    finished_ids = _finished(actor, period)
    first_ids = {row.first_id for row in rows}
    done = _done(actor, finished_ids | first_ids)
    finished = [done[job_id] for job_id in sorted(finished_ids)]
    comebacks = [Comeback(row.job_id, done[row.first_id], row.unbilled_cost_minor) for row in rows]
    members = by_member(comebacks, finished, names_of_members(actor))
    sees_all = actor.may(Permission.CORRECT_TIME)
    return ComebacksReport(
        zone=period.zone,
        first=period.days[0].on,
        last=period.days[-1].on,
        minor_digits=minor_digits(period.shop.currency),
        whole=whole_group(comebacks, finished),
        works=by_work(comebacks, finished),
        members=[group for group in members if sees_all or group.member_id == actor.member_id],
        comebacks=rows,
    )


def _rows(actor: Actor, jobs: Sequence[Job], zone: ZoneInfo) -> list[ComebackReportRow]:
    ids = {job.id for job in jobs}
    sees = actor.may(Permission.SEE_COST)
    hour_minor = settings_of(actor).hour_cost_minor
    seconds = clocked_on(actor, ids, kinds=EntryKind)
    parts, unknown = cost_of_parts(actor, ids)
    billed = _billed(actor, ids)
    terms = warranty_terms_of(actor, {job.comeback_of_id for job in jobs if job.comeback_of_id})
    meters = meters_of(actor, {job.machine_id for job in jobs})
    found = []
    for job in jobs:
        if job.comeback_of is None:
            continue
        opened_on = job.opened_at.astimezone(zone).date()
        cost = ComebackCost(sum(seconds[job.id].values()), hour_minor, parts[job.id], billed[job.id])
        found.append(
            ComebackReportRow(
                job_id=job.id,
                job=str(job),
                first_id=job.comeback_of.id,
                first=str(job.comeback_of),
                kind=job.machine.kind,
                opened_on=opened_on,
                warranty=_warranty(terms.get(job.comeback_of.id, ()), opened_on, meters.get(job.machine_id, ())),
                clocked_seconds=cost.seconds,
                billed_minor=cost.billed_minor,
                labor_cost_minor=cost.labor_minor if sees else None,
                parts_cost_minor=cost.parts_minor if sees else None,
                unbilled_cost_minor=cost.unbilled_minor if sees else None,
                unknown_costs=unknown[job.id],
            )
        )
    return found


def _warranty(terms: Sequence[WarrantyTerms], on: date, meters: Sequence[MeterHours]) -> ComebackWarranty:
    states = {warranty_state(one, on, meters) for one in terms}
    if "covered" in states:
        return "covered"
    if "cannot_say" in states:
        return "cannot_say"
    return "over" if states else "none"


def _billed(actor: Actor, job_ids: Collection[UUID]) -> Counter[UUID]:
    found: Counter[UUID] = Counter()
    for invoice in issued(actor).filter(job__in=job_ids):
        totals = totals_of(invoice)
        if totals is not None and invoice.job_id is not None:
            found[invoice.job_id] += sign_of(invoice.kind) * totals.net_minor
    return found


def _finished(actor: Actor, period: Period) -> set[UUID]:
    """The jobs whose last work was clocked in the period, or that were opened in it where none was."""
    counts = Q(time_entries__state=EntryState.CLOSED, time_entries__kind__in=JOB_KINDS)
    rows = Job.objects.filter(shop=actor.shop_id, stage__in=FINISHED).annotate(
        done_at=Coalesce(Max("time_entries__ended_at", filter=counts), "opened_at")
    )
    return set(rows.filter(done_at__gte=period.begins_at, done_at__lt=period.ends_at).values_list("id", flat=True))


def _done(actor: Actor, job_ids: Collection[UUID]) -> dict[UUID, FinishedJob]:
    works: dict[UUID, list[str]] = defaultdict(list)
    lines = Line.objects.filter(
        shop=actor.shop_id, kind="labor", decided=Decision.ACCEPTED, quote__job__in=job_ids, quote__state="decided"
    )
    for job_id, operation in lines.values_list("quote__job", "operation"):
        works[job_id].append(operation or "")
    clocked = clocked_on(actor, job_ids)
    return {job_id: FinishedJob(works[job_id], clocked[job_id]) for job_id in job_ids}
