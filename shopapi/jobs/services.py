"""Jobs, complaints and findings: the only writer of this app."""

from collections.abc import Collection
from datetime import timedelta
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import FollowUpDays, Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.commands import command
from shopapi.core.edits import edit_row
from shopapi.core.errors import Conflict, Context, FieldError, Invalid
from shopapi.core.events import publish
from shopapi.core.numbering import Series, called_before, report_taken_number
from shopapi.core.rows import refuse_known_id, remove_row, row_for
from shopapi.core.schema import Edit, Target, parse, to_json
from shopapi.customers.models import Customer, Site
from shopapi.jobs import queries
from shopapi.jobs.models import Complaint, Finding, Job, SafetyAcknowledgement, SafetyItem
from shopapi.jobs.rules import (
    AcknowledgementRecord,
    ComplaintRecord,
    Decision,
    FindingFields,
    FindingRank,
    FindingRecord,
    JobFields,
    JobMove,
    NewJob,
    Numbered,
    OpenedJob,
    PartSearchRecord,
    PartSearchRow,
    ResumedWork,
    SafetyItemFields,
    SafetyItemRecord,
    Stage,
    TrialRecord,
    TrialRow,
    Waits,
    comeback_fault,
    finishes,
    is_repaired,
    item_words,
    may_move,
    resumed_work_after,
)
from shopapi.machines.models import Machine
from shopapi.notices.queries import count_notices, notified_of, reachable_at
from shopapi.notices.rules.notice import Channel
from shopapi.notices.services.notices import post_notice, withhold_unsent

NUMBERS = Series("job", "J", first=1001)
MACHINE_READY = "machine_ready"
# A job moved to ready by mistake is moved back within these minutes.
TIME_TO_UNDO = timedelta(minutes=5)


@command(needs=Permission.WORK_JOBS, creates_row=True)
def open_job(*, actor: Actor, data: NewJob) -> Job:
    """Open a ticket for one machine and number it."""
    refuse_known_id(Job, data.id)
    row_for(Customer, actor, data.customer_id, field="customer_id")
    machine = row_for(Machine, actor, data.machine_id, field="machine_id")
    if machine.customer_id != data.customer_id:
        raise Invalid(
            "invalid", fields=[FieldError("machine_id", "another_customer", message="machine_of_another_customer")]
        )
    _check_site(actor, data.site_id, data.customer_id)
    opened_at = now()
    _check_comeback(actor, OpenedJob(data.id, data.machine_id, opened_at), data.comeback_of_id)
    number = NUMBERS.take(actor, is_taken=lambda wanted: _numbered(actor, wanted).exists())
    job = Job.objects.create(shop_id=actor.shop_id, number=number, opened_at=opened_at, **data.model_dump())
    record(actor, "job opened", ("job", job.id), number=number)
    if actor.number not in ("", number):
        job.mark = called_before(job.mark, actor.number)
        job.save(update_fields=["mark"])
        report_taken_number(actor, "job", job.id, number)
    return job


def _numbered(actor: Actor, number: str) -> QuerySet[Job]:
    return queries.jobs(actor).filter(number=number)


@command(needs=Permission.SETTLE_ISSUES, on_rest=False)
def number_job(*, actor: Actor, data: Edit[Numbered]) -> Job:
    """Give a job the number that its documents show; the job that has it now gets the next one.

    A search still finds both by their old number. Raises Invalid for a number that was never given out.
    """
    job = row_for(Job, actor, data.id)
    wanted = parse(Numbered, data.set).number
    other = _numbered(actor, wanted).select_for_update().first()
    if other is None:
        raise Invalid("invalid", fields=[FieldError("number", "not_given", message="job_number_not_given")])
    if other.id != job.id:
        moved = ((other, NUMBERS.next(actor.shop_id)), (job, wanted))
        for each, number in moved:
            before, each.number = each.number, number
            each.mark = called_before(each.mark, before or "")
            each.save(update_fields=["number", "mark"])
            record(actor, "job numbered", ("job", each.id), before=before, after=number)
    return job


@command(needs=Permission.WORK_JOBS)
def edit_job(*, actor: Actor, data: Edit[JobFields]) -> Job:
    """Change a job's site, promised date, urgency, notes, or of which job it is a comeback."""
    job = row_for(Job, actor, data.id)
    wanted = parse(JobFields, data.set)
    _check_site(actor, wanted.site_id, job.customer_id)
    _check_comeback(actor, _opened(job), wanted.comeback_of_id)
    return edit_row(actor=actor, kind="job", row=job, edit=data)


def _check_site(actor: Actor, site_id: UUID | None, customer_id: UUID) -> None:
    if site_id is not None and row_for(Site, actor, site_id, field="site_id").customer_id != customer_id:
        raise Invalid("invalid", fields=[FieldError("site_id", "another_customer", message="site_of_another_customer")])


def _check_comeback(actor: Actor, job: OpenedJob, first_id: UUID | None) -> None:
    if first_id is None:
        return
    if first_id == job.id:
        fault, number = comeback_fault(job, job, ()), ""
    else:
        first = row_for(Job, actor, first_id, field="comeback_of_id")
        fault, number = comeback_fault(job, _opened(first), queries.jobs_behind(first)), str(first)
    if fault is not None:
        raise Invalid("invalid", fields=[FieldError("comeback_of_id", fault, context={"number": number})])


def _opened(job: Job) -> OpenedJob:
    return OpenedJob(job.id, job.machine_id, job.opened_at)


def _rename_proving(args: dict[str, Any]) -> dict[str, Any]:
    """Arguments of version 1, in which the stage `testing` was called `proving`."""
    return {**args, "stage": "testing"} if args.get("stage") == "proving" else args


@command(needs=Permission.WORK_JOBS, upgrades={1: _rename_proving})
def move_job(*, actor: Actor, data: JobMove) -> Job:
    """Move a job to another stage; to ready only once no safety finding is open."""
    job = row_for(Job, actor, data.id)
    before = Stage(job.stage)
    if before == data.stage:
        return job
    if not may_move(before, data.stage):
        raise Conflict(
            "stage_not_next",
            fields=[FieldError("stage", "stage_not_next", context={"before": before, "stage": data.stage})],
            context={"before": before, "stage": data.stage},
        )
    if finishes(before, data.stage):
        _refuse_open_safety(actor, job)
    # An app above may refuse it by raising a Conflict.
    publish("job_moving", actor=actor, job=job, to=data.stage)
    spans = [parse(ResumedWork, span) for span in job.resumed_work]
    job.resumed_work = to_json(resumed_work_after(spans, before, data.stage, now()))
    job.stage = data.stage
    job.save(update_fields=["stage", "resumed_work"])
    record(actor, "job moved", ("job", job.id), before=before, after=data.stage)
    if finishes(before, data.stage):
        _notify_ready(actor, job)
    elif before == Stage.READY:
        withhold_unsent(actor=actor, about=("job", job.id), templates=[MACHINE_READY])
    return job


def _refuse_open_safety(actor: Actor, job: Job) -> None:
    found = queries.open_safety_findings(actor, job.id)
    if not found:
        return
    context: Context = {"findings": [one.words for one in found]}
    message = ""
    if any(one.has_items for one in found):
        context, message = {"findings": [one.way_out for one in found]}, "safety_items_open"
    raise Conflict(
        "safety_open",
        fields=[FieldError("stage", "safety_open", message=message, context=context)],
        message=message,
        context=context,
    )


def _way_to(actor: Actor, customer: Customer) -> tuple[Channel, str] | None:
    return reachable_at(actor, phone=customer.phone, email=customer.email, wish=customer.contact_by)


def _notify_ready(actor: Actor, job: Job) -> None:
    """Write to the customer once that the machine is ready; a job that leaves ready in time takes the message back."""
    shop, customer = shop_of(actor), job.customer
    about = ("job", job.id)
    if not FollowUpDays.model_validate(shop.follow_ups).notify_ready or notified_of(actor, about, MACHINE_READY):
        return
    if (found := _way_to(actor, customer)) is None:
        return
    post_notice(
        actor=actor,
        channel=found[0],
        address=found[1],
        name=customer.person or customer.name,
        template=MACHINE_READY,
        values={
            "customer": customer.person or customer.name,
            "shop": shop.name,
            "machine": job.machine.kind,
            "job": str(job),
        },
        about=about,
        # By how many there have been: of two at once, the database keeps one.
        dedupe_key=f"{MACHINE_READY}:{job.id}:{count_notices(actor, about, MACHINE_READY)}",
        wait=TIME_TO_UNDO,
        language=customer.language,
    )


@command(needs=Permission.WORK_JOBS, fact=True, creates_row=True)
def add_complaint(*, actor: Actor, data: ComplaintRecord) -> Complaint:
    """Add a complaint in the customer's words."""
    refuse_known_id(Complaint, data.id)
    row_for(Job, actor, data.job_id, field="job_id")
    complaint = Complaint.objects.create(shop_id=actor.shop_id, taken_by_id=actor.member_id, **data.model_dump())
    record(actor, "complaint taken", ("job", data.job_id), complaint=complaint.id)
    return complaint


@command(needs=Permission.WORK_JOBS, fact=True, creates_row=True)
def record_finding(*, actor: Actor, data: FindingRecord) -> Finding:
    """Add a finding."""
    refuse_known_id(Finding, data.id)
    row_for(Job, actor, data.job_id, field="job_id")
    if data.again_of_id is not None:
        row_for(Finding, actor, data.again_of_id, field="again_of_id")
    finding = Finding.objects.create(shop_id=actor.shop_id, found_by_id=actor.member_id, **data.model_dump())
    record(actor, "finding recorded", ("job", data.job_id), finding=finding.id, rank=data.rank)
    return finding


@command(needs=Permission.WORK_JOBS)
def edit_finding(*, actor: Actor, data: Edit[FindingFields]) -> Finding:
    """Edit the text or the rank of a finding."""
    finding = row_for(Finding, actor, data.id)
    return edit_row(actor=actor, kind="finding", row=finding, edit=data)


@command(needs=Permission.WORK_JOBS, deletes_row=True)
def remove_finding(*, actor: Actor, data: Target) -> Finding:
    """Remove a finding that no quote refers to."""
    finding = row_for(Finding, actor, data.id)
    remove_row(finding, "finding_in_use")
    record(actor, "finding removed", ("job", finding.job_id), words=finding.words)
    return finding


@command(needs=Permission.WORK_JOBS, fact=True, creates_row=True)
def record_safety_item(*, actor: Actor, data: SafetyItemRecord) -> SafetyItem:
    """Record a safety device that is not working, bypassed or missing, with its finding where none is given."""
    refuse_known_id(SafetyItem, data.id)
    job = row_for(Job, actor, data.job_id, field="job_id")
    if data.finding_id is None:
        finding = FindingRecord(
            id=data.id,
            job_id=job.id,
            words=data.words or item_words(data.device, data.condition),
            consequence=data.protection_lost,
            rank=FindingRank.SAFETY,
            again_of_id=data.again_of_id,
        )
        record_finding.within(actor=actor, data=finding)
    elif row_for(Finding, actor, data.finding_id, field="finding_id").job_id != job.id:
        raise Invalid(
            "invalid", fields=[FieldError("finding_id", "another_job", message="item_finding_of_another_job")]
        )
    item = SafetyItem.objects.create(
        id=data.id,
        shop_id=actor.shop_id,
        job=job,
        machine_id=job.machine_id,
        finding_id=data.finding_id or data.id,
        noted_by_id=actor.member_id,
        **data.model_dump(include=set(SafetyItemFields.model_fields)),
    )
    record(actor, "safety item recorded", ("job", job.id), item=item.id, device=data.device, condition=data.condition)
    return item


@command(needs=Permission.WORK_JOBS)
def edit_safety_item(*, actor: Actor, data: Edit[SafetyItemFields]) -> SafetyItem:
    """Edit the device, its condition, what protection is lost or what was done in the meantime."""
    item = row_for(SafetyItem, actor, data.id)
    return edit_row(actor=actor, kind="safety_item", row=item, edit=data)


@command(needs=Permission.WORK_JOBS, fact=True)
def note_part_search(*, actor: Actor, data: PartSearchRecord) -> SafetyItem:
    """Keep where the part for a safety item was asked for, and the answer."""
    item = row_for(SafetyItem, actor, data.id)
    asked = PartSearchRow(
        where=data.where,
        answer=data.answer,
        asked_at=actor.instant_of(data.asked_at),
        member_id=actor.member_id,
    )
    item.part_search = [*item.part_search, to_json(asked)]
    item.save(update_fields=["part_search"])
    record(actor, "part searched for", ("safety_item", item.id), where=data.where)
    return item


@command(needs=Permission.WORK_JOBS, fact=True)
def repair_safety_item(*, actor: Actor, data: TrialRecord) -> SafetyItem:
    """Keep that a safety device was tried after its repair, and works."""
    return _add_trial(actor, data, works=True)


@command(needs=Permission.WORK_JOBS, fact=True)
def reopen_safety_item(*, actor: Actor, data: TrialRecord) -> SafetyItem:
    """Keep that a safety device was found not to work after all."""
    return _add_trial(actor, data, works=False)


def _add_trial(actor: Actor, data: TrialRecord, *, works: bool) -> SafetyItem:
    item = row_for(SafetyItem, actor, data.id)
    tried = TrialRow(
        works=works,
        tried_at=actor.instant_of(data.tried_at),
        tries=data.tries,
        seen=data.seen,
        member_id=actor.member_id,
    )
    item.trials = [*item.trials, to_json(tried)]
    item.repaired = is_repaired([parse(TrialRow, trial) for trial in item.trials])
    item.save(update_fields=["trials", "repaired"])
    record(actor, "safety device tried", ("safety_item", item.id), works=works, repaired=item.repaired)
    return item


@command(needs=Permission.WORK_JOBS, deletes_row=True)
def remove_safety_item(*, actor: Actor, data: Target) -> SafetyItem:
    """Remove a safety item that was recorded by mistake. Its finding stays."""
    item = row_for(SafetyItem, actor, data.id)
    told = SafetyAcknowledgement.objects.filter(shop=actor.shop_id, finding=item.finding_id)
    if item.trials or item.part_search or any(str(item.id) == one["item_id"] for row in told for one in row.items):
        raise Conflict("in_use", message="safety_item_in_use")
    remove_row(item, "safety_item_in_use")
    record(actor, "safety item removed", ("job", item.job_id), device=item.device, condition=item.condition)
    return item


@command(needs=Permission.WORK_JOBS, fact=True, creates_row=True)
def acknowledge_finding(*, actor: Actor, data: AcknowledgementRecord) -> SafetyAcknowledgement:
    """Keep that the customer was told of a safety finding and wants it left; undecided until then, it is declined."""
    refuse_known_id(SafetyAcknowledgement, data.id)
    finding = row_for(Finding, actor, data.finding_id, field="finding_id")
    told = data.items
    if told is None:
        items = finding.safety_items.filter(repaired=False).order_by("id")
        told = [queries.disclosed_item(item) for item in items]
    own = {"acknowledged_at": actor.instant_of(data.acknowledged_at), "items": to_json(told)}
    made = SafetyAcknowledgement.objects.create(
        shop_id=actor.shop_id, member_id=actor.member_id, **data.model_dump() | own
    )
    if finding.decided == Decision.OPEN:
        decide_findings(actor=actor, finding_ids=[finding.id], decided=Decision.DECLINED)
    record(actor, "finding acknowledged", ("job", finding.job_id), finding=finding.id, how=data.how)
    return made


def set_wait(*, actor: Actor, job: Job, wait: Waits, waiting: bool) -> None:
    """Set whether a job waits on one thing, as derived by the caller, who holds the transaction and the job's lock."""
    derived = sorted({*job.waits_on} - {wait} | ({wait} if waiting else set()))
    if job.waits_on != derived:
        job.waits_on = derived
        job.save(update_fields=["waits_on"])


def decide_findings(*, actor: Actor, finding_ids: Collection[UUID], decided: Decision) -> None:
    """Store the customer's decision on findings; the caller holds the transaction."""
    for finding in queries.findings(actor).filter(id__in=finding_ids).exclude(decided=decided):
        finding.decided = decided
        finding.save(update_fields=["decided"])
