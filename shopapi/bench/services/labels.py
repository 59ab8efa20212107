"""Labels for bags, and tags that warn of a safety device, as PDF."""

from uuid import UUID

import segno
from django.conf import settings

from shopapi.accounts.models import Shop
from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission
from shopapi.bench.models import LabelSheet, RemovalStep
from shopapi.bench.rules.labels import BagLabel, LabelPage, LabelPrint, SafetyTag, bag_labels, title_of
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.background import after_commit
from shopapi.core.clock import today
from shopapi.core.commands import command
from shopapi.core.errors import Unavailable, pack
from shopapi.core.feed import lock_shop
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.documents.rules import Figures
from shopapi.documents.services import render_pdf
from shopapi.documents.services.storage import keep_document
from shopapi.jobs.models import Job, SafetyItem
from shopapi.jobs.rules import DeviceCondition, item_words
from shopapi.machines.rules import machine_text


@command(needs=Permission.WORK_JOBS, creates_row=True)
def print_labels(*, actor: Actor, data: LabelPrint) -> LabelSheet:
    """Request a sheet of labels of a job."""
    refuse_known_id(LabelSheet, data.id)
    row_for(Job, actor, data.job_id, field="job_id")
    sheet = LabelSheet.objects.create(shop_id=actor.shop_id, **data.model_dump())
    record(actor, "labels asked for", ("job", data.job_id), kind=sheet.kind, sheet=sheet.id)
    after_commit("bench.make_labels", shop_id=actor.shop_id, sheet_id=sheet.id)
    return sheet


def make_labels(*, actor: Actor, sheet_id: UUID) -> None:
    """Make one sheet and store it, or the reason why that failed. The caller holds the transaction."""
    waiting = LabelSheet.objects.filter(shop=actor.shop_id, id=sheet_id, state="waiting")
    sheet = waiting.select_related("job__machine").first()
    if sheet is None:
        return
    shop = shop_of(actor)
    page = page_of(sheet, shop)
    try:
        content = render_pdf(
            "bench/labels.html",
            {"page": page},
            paper_size="a4" if shop.paper_size == "a4" else "letter",
            language=page.language,
        )
        document = keep_document(actor=actor, content=content, media_type="application/pdf")
    except Unavailable as failed:
        lock_shop(actor.shop_id)
        sheet.state, sheet.reason = "failed", pack(failed.reason)
        sheet.save(update_fields=["state", "reason"])
        return
    lock_shop(actor.shop_id)
    sheet.state, sheet.document = "ready", document
    sheet.save(update_fields=["state", "document"])
    record(actor, "labels made", ("job", sheet.job_id), sheet=sheet.id, document=document.id)


def page_of(sheet: LabelSheet, shop: Shop) -> LabelPage:
    """What a sheet prints, as it is now."""
    job = sheet.job
    machine = job.machine
    bags: tuple[BagLabel, ...] = ()
    tags: tuple[SafetyTag, ...] = ()
    if sheet.kind == "bags":
        bags = bag_labels(sheet.first, sheet.count, _contents(job))
    else:
        tags = _safety_tags(job)
    title = title_of(sheet.kind, len(bags) or len(tags), sheet.first, str(job))
    # Error correction level M of ISO/IEC 18004: the code still scans with about 15 % of it covered by dirt.
    code = segno.make(f"{settings.ORIGIN}/jobs/{job.id}/bench", error="m", micro=False)
    return LabelPage(
        language=shop.locale,
        title=title,
        foot=f"{shop.name}, {title[0].lower()}{title[1:]}",
        shop_name=shop.name,
        job=str(job),
        machine=machine_text(kind=machine.kind, make=machine.make, model=machine.model, serial=machine.serial),
        day=Figures(shop.locale, shop.currency, shop.zone).day(today(shop.zone)),
        svg=code.svg_inline(border=2, title=f"Code of {job}", svgclass=None, lineclass=None, omitsize=True),
        bags=bags,
        tags=tags,
    )


def _contents(job: Job) -> list[tuple[int, str]]:
    """What was put into the bags of a job, in the order it was taken off."""
    steps = RemovalStep.objects.filter(shop=job.shop_id, job=job).exclude(bag=None).order_by("position", "id")
    return [(step.bag, step.what or step.place) for step in steps if step.bag is not None]


def _safety_tags(job: Job) -> tuple[SafetyTag, ...]:
    """A tag for each safety item of a job that is not repaired."""
    items = SafetyItem.objects.filter(shop=job.shop_id, job=job, repaired=False).order_by("created_at", "id")
    return tuple(
        SafetyTag(item_words(one.device, DeviceCondition(one.condition)), one.protection_lost, one.interim)
        for one in items
    )
