"""The content of a job's ticket, from its rows."""

from typing import cast

from django.db.models.functions import Least

from shopapi.accounts.models import Shop
from shopapi.core.actor import Actor
from shopapi.core.languages import Language, locale_for
from shopapi.dispatch.models import HandOver
from shopapi.dispatch.rules.ticket import (
    Ticket,
    TicketCheckIn,
    TicketCustomer,
    TicketData,
    TicketMachine,
    TicketTerms,
    lay_out_ticket,
)
from shopapi.documents.rules import Figures
from shopapi.jobs.models import Complaint, Job
from shopapi.machines.models import Machine
from shopapi.machines.queries import meter_readings
from shopapi.machines.rules import machine_text
from shopapi.quotes.models import IntakeTerms
from shopapi.quotes.queries import signature_facts
from shopapi.quotes.rules.pdf import ComplaintFacts


def ticket_of(actor: Actor, job: Job, shop: Shop) -> Ticket:
    """The ticket of a job at this moment."""
    language = cast("Language", job.customer.language)
    complaints = Complaint.objects.filter(shop=actor.shop_id, job=job).order_by("created_at", "id")
    facts = TicketData(
        number=job.number,
        mark=job.mark,
        opened_at=job.opened_at,
        urgency=job.urgency,
        promised_on=job.promised_on,
        arrives_by=job.arrives_by,
        customer=_customer(job),
        machine=_machine(actor, job.machine, language),
        complaints=[ComplaintFacts(words=one.words, happens_when=one.happens_when) for one in complaints],
        check_in=_check_in(actor, job),
        terms=_terms(actor, job),
    )
    head = tuple(line for line in (shop.address, " · ".join(filter(None, (shop.phone, shop.email)))) if line)
    figures = Figures(locale_for(shop.locale, language), shop.currency, shop.zone, language)
    return lay_out_ticket(facts, shop=shop.name, shop_lines=head, figures=figures)


def _customer(job: Job) -> TicketCustomer:
    one = job.customer
    return TicketCustomer(
        name=one.name,
        person=one.person,
        phone=one.phone,
        second_phone=one.second_phone,
        email=one.email,
        contact_by=one.contact_by,
        address=one.address,
    )


def _machine(actor: Actor, one: Machine, language: Language) -> TicketMachine:
    last = meter_readings(actor).filter(machine=one).order_by("segment", "read_on", "id").last()
    return TicketMachine(
        name=machine_text(kind=one.kind, make=one.make, model=one.model, serial=one.serial, language=language),
        year=one.year,
        tag=one.tag,
        engine=" ".join(filter(None, (one.engine_make, one.engine_model))),
        engine_serial=one.engine_serial,
        hours=None if last is None else last.hours,
        read_on=None if last is None else last.read_on,
    )


def _check_in(actor: Actor, job: Job) -> TicketCheckIn | None:
    """The last hand-over at which the shop got the machine."""
    over = HandOver.objects.filter(shop=actor.shop_id, job=job, kind="pickup").order_by("at", "id").last()
    if over is None:
        return None
    ink = over.signature
    return TicketCheckIn(
        at=over.at,
        condition=[(item["part"], item["state"], item["note"]) for item in over.condition],
        keys=over.keys,
        fuel=over.fuel,
        accessories=over.accessories,
        runs=over.runs,
        ink=None if ink is None else signature_facts(ink),
    )


def _terms(actor: Actor, job: Job) -> TicketTerms | None:
    """What was accepted last."""
    # None counts as later than it was received.
    known = IntakeTerms.objects.filter(shop=actor.shop_id, job=job)
    terms = known.order_by(Least("accepted_at", "created_at"), "id").last()
    if terms is None:
        return None
    return TicketTerms(
        diagnosis_fee_minor=terms.diagnosis_fee_minor,
        diagnosis_credited=terms.diagnosis_credited,
        storage_free_days=terms.storage_free_days,
        storage_per_day_minor=terms.storage_per_day_minor,
        storage_cap_minor=terms.storage_cap_minor,
        name=terms.accepted_by_name,
        at=terms.accepted_at,
    )
