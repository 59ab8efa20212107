"""The text of a job's ticket: what the customer keeps after the machine was taken in."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from shopapi.core.languages import ENGLISH, Texts
from shopapi.dispatch.rules.hand_over_sheet import FUELS, PARTS, RUNS, said_of
from shopapi.dispatch.rules.hand_over_texts import TEXTS as HAND_OVER
from shopapi.dispatch.rules.ticket_texts import TEXTS
from shopapi.documents.rules import Figures
from shopapi.quotes.rules.pdf import ComplaintFacts, SignatureDrawing, SignatureFacts, draw_signature


@dataclass(frozen=True)
class TicketCustomer:
    name: str
    person: str
    phone: str
    second_phone: str
    email: str
    contact_by: str
    address: str


@dataclass(frozen=True)
class TicketMachine:
    """`hours` None: the meter was never read."""

    name: str
    year: int | None
    tag: str
    engine: str
    engine_serial: str
    hours: Decimal | None
    read_on: date | None


@dataclass(frozen=True)
class TicketTerms:
    """What was told and accepted, in minor units; None: that was not told."""

    diagnosis_fee_minor: int | None
    diagnosis_credited: bool
    storage_free_days: int | None
    storage_per_day_minor: int | None
    storage_cap_minor: int | None
    name: str
    at: datetime


@dataclass(frozen=True)
class TicketCheckIn:
    """The hand-over at which the machine was checked in; `ink` None: nobody signed."""

    at: datetime
    condition: Sequence[tuple[str, str, str]]
    keys: str
    fuel: str
    accessories: str
    runs: bool | None
    ink: SignatureFacts | None


@dataclass(frozen=True)
class TicketData:
    """A job as plain data. `number`: None before the server numbered it."""

    number: str | None
    mark: str
    opened_at: datetime
    urgency: str
    promised_on: date | None
    arrives_by: str
    customer: TicketCustomer
    machine: TicketMachine
    complaints: Sequence[ComplaintFacts]
    check_in: TicketCheckIn | None
    terms: TicketTerms | None


@dataclass(frozen=True)
class TicketParty:
    title: str
    name: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class Ticket:
    """Everything the template prints, as text. `words` are its fixed labels; `condition` None: not checked in yet."""

    language: str
    title: str
    number: str
    words: Texts
    shop_name: str
    shop_lines: tuple[str, ...]
    aside: str
    parties: tuple[TicketParty, ...]
    facts: tuple[tuple[str, str], ...]
    complaints: Sequence[ComplaintFacts]
    condition: tuple[tuple[str, str, str], ...] | None
    handed: tuple[tuple[str, str], ...]
    agreed: tuple[str, ...]
    contact: str
    signer: str
    signed_at: str
    ink: SignatureDrawing | None
    foot: str


def lay_out_ticket(job: TicketData, *, shop: str, shop_lines: tuple[str, ...], figures: Figures) -> Ticket:
    """Lay out the ticket of a job in the language of `figures`. Its times are in the shop's zone, which it names."""
    t = TEXTS[figures.language]
    number = job.number or job.mark
    title = t.say("title", number=number)
    over = job.check_in
    ink = None if over is None else over.ink
    signed_at = "" if over is None else figures.moment(over.at)
    return Ticket(
        language=figures.locale,
        title=title,
        number=number,
        words=t,
        shop_name=shop,
        shop_lines=shop_lines,
        aside="" if job.number else t["mark"],
        parties=(_customer(job.customer, t), _machine(job.machine, t, figures)),
        facts=tuple(_facts(job, t, figures)),
        complaints=job.complaints,
        condition=None if over is None else tuple(_condition(over, HAND_OVER[t.language])),
        handed=() if over is None else tuple((label, value) for label, value in _handed(over, t) if value),
        agreed=() if job.terms is None else tuple(_agreed(job.terms, t, figures)),
        contact=how_to_contact(job.customer, t),
        signer="" if ink is None else ink.signer_name,
        signed_at=signed_at,
        ink=None if ink is None else draw_signature(ink, signed_at, t.language),
        foot=f"{shop}, {title}",
    )


def _filled(*texts: str) -> tuple[str, ...]:
    return tuple(text.strip() for text in texts if text.strip())


def _customer(one: TicketCustomer, t: Texts) -> TicketParty:
    return TicketParty(t["for"], one.name, _filled(one.person, one.address, one.phone, one.second_phone, one.email))


def _machine(one: TicketMachine, t: Texts, figures: Figures) -> TicketParty:
    serial = t.say("engine_serial", serial=one.engine_serial) if one.engine_serial else ""
    engine = ", ".join(_filled(one.engine, serial))
    made = (
        t.say("year", year=one.year) if one.year else "",
        t.say("tag", tag=one.tag) if one.tag else "",
    )
    meter = ""
    if one.hours is not None and one.read_on is not None:
        meter = t.say("meter", hours=figures.number(one.hours), day=figures.day(one.read_on))
    lines = _filled(", ".join(_filled(*made)), t.say("engine", engine=engine) if engine else "", meter)
    return TicketParty(t["machine"], one.name, lines)


def _facts(job: TicketData, t: Texts, figures: Figures) -> Iterator[tuple[str, str]]:
    yield t["opened"], figures.moment(job.opened_at)
    by_date = "" if job.promised_on is None else "_by_date"
    key = f"urgency_down{by_date}" if job.urgency == "down" else f"urgency{by_date or '_usual'}"
    day = "" if job.promised_on is None else figures.day(job.promised_on)
    yield t["urgency"], t.say(key, day=day)
    if job.check_in is not None:
        yield t["arrival"], t.say("arrival_picked_up", when=figures.moment(job.check_in.at))
    elif job.arrives_by:
        yield t["arrival"], t[f"arrival_{job.arrives_by}"]


def _condition(over: TicketCheckIn, t: Texts) -> Iterator[tuple[str, str, str]]:
    for part, state, note in over.condition:
        yield said_of(t, "part", part, PARTS), t[f"state_{state}"], note


def _handed(over: TicketCheckIn, t: Texts) -> Iterator[tuple[str, str]]:
    said = HAND_OVER[t.language]
    yield t["keys"], over.keys
    yield t["fuel"], "" if over.fuel == "unknown" else said_of(said, "fuel", over.fuel, FUELS)
    yield t["accessories"], over.accessories
    yield t["runs"], "" if over.runs is None else said[RUNS[over.runs]]


def _agreed(terms: TicketTerms, t: Texts, figures: Figures) -> Iterator[str]:
    if terms.diagnosis_fee_minor is not None:
        key = "diagnosis_credited" if terms.diagnosis_credited else "diagnosis"
        yield t.say(key, fee=figures.money(terms.diagnosis_fee_minor))
    if terms.storage_per_day_minor is not None:
        days = terms.storage_free_days or 0
        amount = figures.money(terms.storage_per_day_minor)
        said = t.say("storage" if days else "storage_at_once", days=days, amount=amount)
        cap = terms.storage_cap_minor
        yield said if cap is None else f"{said} {t.say('storage_cap', cap=figures.money(cap))}"
    yield t.say("accepted", name=terms.name, when=figures.moment(terms.at))


def how_to_contact(one: TicketCustomer, t: Texts = TEXTS[ENGLISH]) -> str:
    """How the shop reaches the customer: as they asked, else by the phone or the e-mail address on file.

    >>> how_to_contact(TicketCustomer("Ada", "", "555 0199", "", "ada@example.org", "email", ""))
    'We write to ada@example.org.'
    """
    if one.contact_by == "email" and one.email:
        return t.say("contact_email", email=one.email)
    if one.phone:
        key = one.contact_by if one.contact_by in ("call", "text") else "either"
        return t.say(f"contact_{key}", phone=one.phone)
    return t.say("contact_email", email=one.email) if one.email else ""
