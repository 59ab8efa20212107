"""Jobs, complaints and findings: the only writer of this app."""

from collections.abc import Collection
from uuid import UUID

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.commands import command
from shopapi.core.edits import edit_row
from shopapi.core.errors import Conflict, FieldError, Invalid
from shopapi.core.numbering import next_number
from shopapi.core.rows import refuse_known_id, remove_row
from shopapi.core.shape import Edit, Target, decode
from shopapi.customers.queries import customer_for, site_for
from shopapi.jobs import queries
from shopapi.jobs.models import Complaint, Finding, Job
from shopapi.jobs.rules import (
    ComplaintRecord,
    Decision,
    FindingFields,
    FindingRecord,
    JobFields,
    JobMove,
    NewJob,
    Stage,
    Waits,
    may_move,
)
from shopapi.machines.queries import machine_for

FIRST_NUMBER = 1001


@command(needs=Permission.WORK_JOBS)
def open_job(*, actor: Actor, data: NewJob) -> Job:
    """Open a ticket for one machine and number it."""
    refuse_known_id(Job, data.id)
    customer_for(actor, data.customer_id)
    machine = machine_for(actor, data.machine_id)
    if machine.customer_id != data.customer_id:
        words = "This machine belongs to another customer."
        raise Invalid("invalid", words, fields=[FieldError("machine_id", "another_customer", words)])
    _check_site(actor, data.site_id, data.customer_id)
    number = f"J-{next_number(actor.shop_id, 'job', first=FIRST_NUMBER)}"
    job = Job.objects.create(shop_id=actor.shop_id, number=number, opened_at=now(), **data.model_dump())
    record(actor, "job opened", ("job", job.id), number=number)
    return job


@command(needs=Permission.WORK_JOBS)
def edit_job(*, actor: Actor, data: Edit) -> Job:
    """Change a job's site, promised date or notes."""
    job = queries.job_for(actor, data.id, field="id")
    _check_site(actor, decode(JobFields, data.set).site_id, job.customer_id)
    return edit_row(actor=actor, kind="job", row=job, edit=data, fields=JobFields)


def _check_site(actor: Actor, site_id: UUID | None, customer_id: UUID) -> None:
    if site_id is not None and site_for(actor, site_id).customer_id != customer_id:
        words = "This site belongs to another customer."
        raise Invalid("invalid", words, fields=[FieldError("site_id", "another_customer", words)])


@command(needs=Permission.WORK_JOBS)
def move_job(*, actor: Actor, data: JobMove) -> Job:
    """Move a job to another stage."""
    job = queries.job_for(actor, data.id, field="id")
    before = Stage(job.stage)
    if before == data.stage:
        return job
    if not may_move(before, data.stage):
        words = f"A job in “{before}” does not go to “{data.stage}”."
        raise Conflict("stage_not_next", words, fields=[FieldError("stage", "stage_not_next", words)])
    job.stage = data.stage
    job.save(update_fields=["stage"])
    record(actor, "job moved", ("job", job.id), before=before, after=data.stage)
    return job


@command(needs=Permission.WORK_JOBS, fact=True)
def add_complaint(*, actor: Actor, data: ComplaintRecord) -> Complaint:
    """Keep the owner's words."""
    refuse_known_id(Complaint, data.id)
    queries.job_for(actor, data.job_id)
    complaint = Complaint.objects.create(shop_id=actor.shop_id, taken_by_id=actor.member_id, **data.model_dump())
    record(actor, "complaint taken", ("job", data.job_id), complaint=complaint.id)
    return complaint


@command(needs=Permission.WORK_JOBS, fact=True)
def record_finding(*, actor: Actor, data: FindingRecord) -> Finding:
    """Keep a fault that was found."""
    refuse_known_id(Finding, data.id)
    queries.job_for(actor, data.job_id)
    if data.again_of_id is not None:
        queries.finding_for(actor, data.again_of_id, field="again_of_id")
    finding = Finding.objects.create(shop_id=actor.shop_id, found_by_id=actor.member_id, **data.model_dump())
    record(actor, "finding recorded", ("job", data.job_id), finding=finding.id, rank=data.rank)
    return finding


@command(needs=Permission.WORK_JOBS)
def edit_finding(*, actor: Actor, data: Edit) -> Finding:
    """Put a finding into better words, or another rank."""
    finding = queries.finding_for(actor, data.id, field="id")
    return edit_row(actor=actor, kind="finding", row=finding, edit=data, fields=FindingFields)


@command(needs=Permission.WORK_JOBS)
def remove_finding(*, actor: Actor, data: Target) -> Finding:
    """Remove a finding that no quote speaks of."""
    finding = queries.finding_for(actor, data.id, field="id")
    remove_row(finding, "A quote or a later visit speaks of this finding; leave it.")
    record(actor, "finding removed", ("job", finding.job_id), words=finding.words)
    return finding


def set_waits(*, actor: Actor, job: Job, waits_on: Collection[Waits]) -> None:
    """Keep what a job waits on, as derived by the caller, who holds the transaction and the job's lock."""
    derived = sorted(waits_on)
    if job.waits_on != derived:
        job.waits_on = derived
        job.save(update_fields=["waits_on"])


def decide_findings(*, actor: Actor, finding_ids: Collection[UUID], decided: Decision) -> None:
    """Keep what the owner decided of findings; the caller holds the transaction."""
    for finding in queries.findings(actor).filter(id__in=finding_ids).exclude(decided=decided):
        finding.decided = decided
        finding.save(update_fields=["decided"])
