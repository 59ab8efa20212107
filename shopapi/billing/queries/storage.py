"""Storage of the machine of a job: what was told, the notices that were sent, and what it comes to."""

from datetime import date
from typing import cast
from uuid import UUID
from zoneinfo import ZoneInfo

from shopapi.accounts.queries import shop_of
from shopapi.billing.models import InvoiceLine
from shopapi.billing.rules.collecting import StoredDays
from shopapi.billing.rules.invoices import InvoiceState, LineSource
from shopapi.billing.rules.storage_days import ReadyNotice, ResumedDays, StorageCharge, StorageTerms, storage_charge
from shopapi.billing.rules.storage_words import storage_words
from shopapi.core.actor import Actor
from shopapi.core.clock import today
from shopapi.core.languages import Language, locale_for
from shopapi.core.schema import parse
from shopapi.dispatch.models import Stop
from shopapi.documents.rules.number_format import Figures
from shopapi.jobs.models import Job
from shopapi.jobs.rules import ResumedWork, Stage
from shopapi.notices.models import Notice
from shopapi.notices.rules.notice import NoticeState
from shopapi.quotes.models import IntakeTerms

READY_NOTICE = "machine_ready"
DONE = (Stage.READY, Stage.RETURNED, Stage.CLOSED)


def storage_of(actor: Actor, job: Job) -> tuple[StorageTerms | None, StorageCharge]:
    """What was told at intake, and what storage comes to through today or the day on which the machine went back."""
    terms = _terms(actor, job.id)
    notices = ready_notices(actor, job)
    through = _through(actor, job, notices)
    resumed = _resumed_days(actor, job)
    return terms, storage_charge(terms, notices, through, billed_minor=_billed(actor, job.id), resumed=resumed)


def stored_days(actor: Actor, job_id: UUID) -> StoredDays | None:
    """Storage as a line of the bill; None where nothing is to be charged."""
    job = Job.objects.select_related("customer").get(shop=actor.shop_id, id=job_id)
    terms, charge = storage_of(actor, job)
    if terms is None or not charge.due_minor:
        return None
    shop, language = shop_of(actor), cast("Language", job.customer.language)
    figures = Figures(locale_for(shop.locale, language), shop.currency, shop.zone, language)
    return StoredDays(storage_words(terms, charge, figures, language), charge.due_minor)


def ready_notices(actor: Actor, job: Job) -> list[ReadyNotice]:
    """The notices that the machine is ready which were sent; none while the job is being worked on (again)."""
    if job.stage not in DONE:
        return []
    sent = Notice.objects.filter(
        shop=actor.shop_id, about_kind="job", about_id=job.id, template=READY_NOTICE, state=NoticeState.SENT
    ).exclude(sent_at=None)
    zone = ZoneInfo(shop_of(actor).zone)
    return [
        ReadyNotice(row.sent_at.astimezone(zone).date(), row.channel, row.address)
        for row in sent.order_by("sent_at", "id")
        if row.sent_at is not None
    ]


def _resumed_days(actor: Actor, job: Job) -> list[ResumedDays]:
    """The days on which a job that was ready was worked on again."""
    zone = ZoneInfo(shop_of(actor).zone)
    spans = [parse(ResumedWork, span) for span in job.resumed_work]
    return [
        ResumedDays(span.from_at.astimezone(zone).date(), span.ready_at and span.ready_at.astimezone(zone).date())
        for span in spans
    ]


def _terms(actor: Actor, job_id: UUID) -> StorageTerms | None:
    told = IntakeTerms.objects.filter(shop=actor.shop_id, job=job_id).exclude(storage_per_day_minor=None)
    row = told.order_by("accepted_at", "id").last()
    if row is None:
        return None
    return StorageTerms(row.storage_free_days or 0, row.storage_per_day_minor or 0, row.storage_cap_minor)


def _through(actor: Actor, job: Job, notices: list[ReadyNotice]) -> date | None:
    """The day of the last return since the first notice; today while it waits; None: it left, and no day is known."""
    zone = shop_of(actor).zone
    backs = Stop.objects.filter(shop=actor.shop_id, job=job.id, kind="return", state="left").exclude(left_at=None)
    last = backs.order_by("left_at").values_list("left_at", flat=True).last()
    went = None if last is None else last.astimezone(ZoneInfo(zone)).date()
    if went is not None and notices and went >= notices[0].on:
        return went
    return today(zone) if job.stage == Stage.READY else None


def _billed(actor: Actor, job_id: UUID) -> int:
    """What was billed for storage on a job, on drafts too; lines have a price for the whole."""
    lines = InvoiceLine.objects.filter(
        shop=actor.shop_id, invoice__job=job_id, invoice__kind="invoice", source=LineSource.STORAGE
    ).exclude(invoice__state=InvoiceState.CANCELLED)
    return sum(line.fixed_minor or 0 for line in lines)
