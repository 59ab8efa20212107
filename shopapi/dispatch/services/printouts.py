"""Run sheets, machine tags, signed hand-overs and tickets as PDF."""

from typing import cast
from uuid import UUID

import segno
from django.conf import settings

from shopapi.accounts.models import Shop
from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission
from shopapi.bench.queries.run_tests import release_summary_of
from shopapi.bench.rules.run_test_texts import TestedLines, tested_lines
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.background import after_commit
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, FieldError, NotFound, Unavailable, pack
from shopapi.core.feed import lock_shop
from shopapi.core.languages import Language, locale_for
from shopapi.core.rendering import with_words
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.core.schema import parse, to_json
from shopapi.customers.rules.customer import place_lines
from shopapi.dispatch import queries
from shopapi.dispatch.models import HandOver, Printout, Run, Stop
from shopapi.dispatch.rules.hand_over_sheet import HandOverData, HandOverSheet, lay_out_hand_over
from shopapi.dispatch.rules.run_sheet import MachineTag, RunData, RunSheet, SheetStop, TagSheet, lay_out_run
from shopapi.dispatch.rules.schemas.printout import HandOverPrint, RunPrint, TagPrint
from shopapi.dispatch.rules.schemas.run import CautionRow, DeckRow
from shopapi.dispatch.rules.ticket import Ticket
from shopapi.dispatch.services.ticket_pdf import ticket_of
from shopapi.documents.rules import Figures
from shopapi.documents.services import render_pdf
from shopapi.documents.services.storage import keep_document
from shopapi.files.queries import pictures_about
from shopapi.machines.models import Machine
from shopapi.machines.queries import machines
from shopapi.machines.rules import machine_text, short_code
from shopapi.quotes.models import Signature
from shopapi.quotes.queries import signature_facts
from shopapi.quotes.queries.left_safety import left_unrepaired


@command(needs=Permission.DRIVE_RUNS, creates_row=True)
def print_run(*, actor: Actor, data: RunPrint) -> Printout:
    """Request the sheet of a run."""
    refuse_known_id(Printout, data.id)
    run = row_for(Run, actor, data.run_id, field="run_id")
    return request_printout(actor, Printout(id=data.id, shop_id=actor.shop_id, kind="run", run=run))


@command(needs=Permission.DRIVE_RUNS, creates_row=True, rest_name="tags")
def print_tags(*, actor: Actor, data: TagPrint) -> Printout:
    """Request a sheet of tags."""
    refuse_known_id(Printout, data.id)
    known = set(machines(actor).filter(id__in=data.machine_ids).values_list("id", flat=True))
    for at, machine_id in enumerate(data.machine_ids):
        if machine_id not in known:
            raise NotFound("machine", machine_id, field=f"machine_ids.{at}")
    printout = Printout(id=data.id, shop_id=actor.shop_id, kind="tags", machine_ids=data.machine_ids)
    return request_printout(actor, printout)


@command(needs=Permission.DRIVE_RUNS, creates_row=True, rest_name="hand-over")
def print_hand_over(*, actor: Actor, data: HandOverPrint) -> Printout:
    """Request the sheet of a signed hand-over. Raises Conflict for an unsigned one."""
    refuse_known_id(Printout, data.id)
    over = row_for(HandOver, actor, data.hand_over_id, field="hand_over_id")
    if over.signature_id is None:
        raise Conflict("not_signed", fields=[FieldError("hand_over_id", "not_signed")])
    return request_printout(actor, Printout(id=data.id, shop_id=actor.shop_id, kind="hand_over", hand_over=over))


def request_printout(actor: Actor, printout: Printout) -> Printout:
    """Store a new printout and have a worker make it."""
    printout.save(force_insert=True)
    record(actor, "PDF asked for", ("printout", printout.id), kind=printout.kind)
    after_commit("dispatch.make_printout", shop_id=actor.shop_id, printout_id=printout.id)
    return printout


def make_printout(*, actor: Actor, printout_id: UUID) -> None:
    """Make one PDF and store it, or the reason why that failed. The caller holds the transaction."""
    printout = queries.printouts(actor).filter(id=printout_id, state="waiting").first()
    if printout is None:
        return
    shop = shop_of(actor)
    template, page = _page(actor, printout, shop)
    try:
        content = render_pdf(
            template, {"sheet": page}, paper_size="a4" if shop.paper_size == "a4" else "letter", language=page.language
        )
        document = keep_document(actor=actor, content=content, media_type="application/pdf")
    except Unavailable as failed:
        lock_shop(actor.shop_id)
        printout.state, printout.reason = "failed", pack(failed.reason)
        printout.save(update_fields=["state", "reason"])
        return
    lock_shop(actor.shop_id)
    printout.state, printout.document = "ready", document
    printout.save(update_fields=["state", "document"])
    record(actor, "PDF made", ("printout", printout.id), document=document.id)


def _page(actor: Actor, printout: Printout, shop: Shop) -> tuple[str, RunSheet | TagSheet | HandOverSheet | Ticket]:
    """The template of a printout and its context."""
    over = printout.hand_over
    if over is not None and over.signature is not None:
        return "dispatch/hand_over.html", _hand_sheet(actor, over, over.signature, shop)
    if printout.run is not None:
        return "dispatch/run.html", _run_sheet(printout.run, shop)
    if printout.job is not None:
        return "dispatch/ticket.html", ticket_of(actor, printout.job, shop)
    return "dispatch/tags.html", _tags(printout, shop)


def _hand_sheet(actor: Actor, over: HandOver, ink: Signature, shop: Shop) -> HandOverSheet:
    job, site = over.job, over.stop.goes_to
    machine = job.machine
    language = cast("Language", over.language)
    figures = Figures(locale_for(shop.locale, language), shop.currency, shop.zone, language)
    facts = HandOverData(
        kind=over.kind,
        at=over.at,
        job=str(job),
        machine=machine_text(
            kind=machine.kind, make=machine.make, model=machine.model, serial=machine.serial, language=language
        ),
        customer=job.customer.name,
        place=", ".join(place_lines(over.stop.place_name, site.address)),
        member="" if over.member is None else over.member.name,
        condition=[(item["part"], item["state"], item["note"]) for item in over.condition],
        hours=None if over.reading is None else over.reading.hours,
        meter_anomaly=over.meter_anomaly,
        keys=over.keys,
        fuel=over.fuel,
        accessories=over.accessories,
        runs=over.runs,
        made_safe=over.made_safe,
        as_left=over.as_left,
        acknowledged=over.acknowledged,
        # None at a pickup.
        left_unrepaired=[] if over.kind == "pickup" else left_unrepaired(over.shop_id, over.job_id, at=over.at),
        tested=_tested(over, figures),
        amount_due_minor=over.amount_due_minor,
        pictures=pictures_about(actor, "stop", [over.stop_id]).count(),
        matches=over.matches,
        ink=signature_facts(ink),
    )
    head = tuple(line for line in (shop.address, shop.phone) if line)
    return lay_out_hand_over(facts, shop=shop.name, shop_lines=head, figures=figures)


def _tested(over: HandOver, figures: Figures) -> TestedLines | None:
    """What was tested on the job by then and what was not; None at a pickup and where nothing was recorded."""
    summary = None if over.kind == "pickup" else release_summary_of(over.job, at=over.at)
    if summary is None:
        return None
    reasons = {(str(row.kind), row.item): row.words for row in summary.left_out}
    return tested_lines(summary, reasons, figures)


def _run_sheet(run: Run, shop: Shop) -> RunSheet:
    figures = Figures(shop.locale, shop.currency, shop.zone)
    found = Stop.objects.filter(shop=run.shop_id, run=run).select_related(
        "job__customer", "job__machine", "site", "supplier"
    )
    stops = [_line(stop) for stop in found.order_by("trip", "position", "id") if stop.state != "failed"]
    facts = RunData(
        day=figures.day(run.day),
        rig=run.rig.name,
        driver="" if run.driver is None else run.driver.name,
        leaves_at=run.leaves_at,
        home_at=run.home_at,
        metres=run.metres,
        decks=[to_json(with_words(parse(DeckRow, deck))) for deck in run.decks],
        cautions=[with_words(parse(CautionRow, caution)).words for caution in run.cautions],
    )
    head = tuple(line for line in (shop.address, shop.phone) if line)
    return lay_out_run(facts, stops, shop=shop.name, shop_lines=head, figures=figures, pounds=shop.units == "us")


def _line(stop: Stop) -> SheetStop:
    job = stop.job
    return SheetStop(
        kind=stop.kind,
        job="" if job is None else str(job),
        machine=stop.place_name if job is None else _machine_line(job.machine),
        customer=stop.place_name if job is None else job.customer.name,
        phone=stop.supplier.phone if stop.supplier else job.customer.phone if job else "",
        place=stop.place_name,
        address=stop.goes_to.address,
        access=stop.site.access_notes if stop.site else "",
        notes=stop.notes,
        needs=stop.needs,
        trip=stop.trip,
        promised=(stop.notified_from, stop.notified_to),
        arrival=(stop.arrives_from, stop.arrives_to),
        stay=(stop.arrives_at, stop.leaves_at),
        state=stop.state,
    )


def _machine_line(machine: Machine) -> str:
    return machine_text(kind=machine.kind, make=machine.make, model=machine.model, serial=machine.serial)


def _tags(printout: Printout, shop: Shop) -> TagSheet:
    found = Machine.objects.filter(shop=printout.shop_id, id__in=printout.machine_ids).select_related("customer")
    by_id = {machine.id: machine for machine in found}
    tags = tuple(tag_of(by_id[machine_id]) for machine_id in printout.machine_ids if machine_id in by_id)
    title = f"Tags for {len(tags)} machines" if len(tags) != 1 else "Tag for a machine"
    return TagSheet(shop.locale, title, shop.name, tags, f"{shop.name}, {title.lower()}")


def tag_of(machine: Machine) -> MachineTag:
    """The label of a machine: its address as a QR code, and the code for typing."""
    code = short_code(machine.id)
    # Error correction level M of ISO/IEC 18004: the code still scans with about 15 % of it covered by dirt.
    picture = segno.make(f"{settings.ORIGIN}/machines/{machine.id}", error="m", micro=False)
    return MachineTag(
        svg=picture.svg_inline(border=2, title=f"Code of machine {code}", svgclass=None, lineclass=None, omitsize=True),
        code=code,
        machine=" ".join(part for part in (machine.kind, machine.make, machine.model) if part),
        customer=machine.customer.name,
    )
