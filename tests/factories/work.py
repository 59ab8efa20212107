"""Customers, machines, jobs and quotes, created by the phone's commands."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any
from urllib.parse import urlsplit
from uuid import UUID

from shopapi.accounts.queries import shop_of
from shopapi.core import clock
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.commands import Command
from shopapi.core.ids import uuid7
from shopapi.core.languages import Language
from shopapi.core.schema import parse, to_json
from shopapi.core.tenancy import in_shop
from shopapi.customers.services import add_customer, add_site
from shopapi.files.services.attachments import add_attachment
from shopapi.jobs.services import (
    acknowledge_finding,
    add_complaint,
    open_job,
    record_finding,
    record_safety_item,
)
from shopapi.labor.services.clock import start_clock
from shopapi.machines.services import add_limit, add_machine, add_sheet, add_sheet_entry, record_meter
from shopapi.notices.services.notices import record_message
from shopapi.notices.services.preferences import opt_out, put_notice_template, turn_on_push
from shopapi.parts.services.needs import add_part_need
from shopapi.parts.services.suppliers import add_supplier
from shopapi.quotes import queries
from shopapi.quotes.models import ApprovalLink, PriceBook, Quote
from shopapi.quotes.rules import ShopPrices, json_digest, offer_document, profile_on
from shopapi.quotes.rules.approval_requests import Question
from shopapi.quotes.rules.confirmed import PRICE_PARTS
from shopapi.quotes.rules.starting_prices import starting_prices
from shopapi.quotes.services.approval_requests import LinkVisit, post_question, send_approval_request
from shopapi.quotes.services.decisions import decide_quote
from shopapi.quotes.services.drafts import draft_quote, offer_quote, put_quote_line
from shopapi.quotes.services.links import address_of
from shopapi.quotes.services.shop import edit_price_book
from shopapi.reminders.models import FollowUp

INK = [[[100, 200, 0], [4000, 5000, 60], [9000, 300, 130]]]


def do(actor: Actor, command: Command[Any, Any], **args: object) -> Any:
    """Run one command with plain values; returns its result."""
    return command(actor=actor, data=parse(command.schema, to_json(args)))


def made(actor: Actor, command: Command[Any, Any], **args: object) -> UUID:
    """Run one command with plain values; returns the id of its row."""
    row_id: UUID = do(actor, command, **args).id
    return row_id


def a_customer(actor: Actor, **more: object) -> UUID:
    defaults = {"id": uuid7(), "name": "Winnie Stroud", "phone": "(555) 014-2210", "email": "winnie@stroud.example"}
    return made(actor, add_customer, **{**defaults, **more})


def a_site(actor: Actor, customer_id: UUID, **more: object) -> UUID:
    defaults = {"id": uuid7(), "customer_id": customer_id, "label": "Packing barn", "lat": "40.3125", "lon": "-98.441"}
    return made(actor, add_site, **{**defaults, **more})


def a_machine(actor: Actor, customer_id: UUID, **more: object) -> UUID:
    defaults = {
        "id": uuid7(),
        "customer_id": customer_id,
        "kind": "garden tractor",
        "make": "Hartvale",
        "model": "GT 22",
    }
    return made(actor, add_machine, **{**defaults, "serial": "HV22H-104877", **more})


def a_reading(actor: Actor, machine_id: UUID, **more: object) -> UUID:
    defaults = {"id": uuid7(), "machine_id": machine_id, "hours": "612.4", "read_on": "2026-03-17"}
    return made(actor, record_meter, **{**defaults, **more})


def a_job(actor: Actor, **more: Any) -> UUID:
    """A job, by default of a new customer with a new machine."""
    customer_id = more.pop("customer_id", None) or a_customer(actor)
    machine_id = more.pop("machine_id", None) or a_machine(actor, customer_id)
    defaults = {"id": uuid7(), "customer_id": customer_id, "machine_id": machine_id, "mark": "B-7"}
    return made(actor, open_job, **{**defaults, **more})


def a_picture(actor: Actor, about_id: UUID, **more: object) -> UUID:
    """The attachment of a picture of a finding, without bytes."""
    defaults = {
        "id": uuid7(),
        "about_kind": "finding",
        "about_id": about_id,
        "taken_at": datetime(2026, 5, 1, 10, tzinfo=UTC),
    }
    return made(actor, add_attachment, **{**defaults, "sha256": "ab" * 32, "bytes": 1000, **more})


def a_sheet(actor: Actor, **more: object) -> UUID:
    defaults = {"id": uuid7(), "title": "GT 18", "make": "Hartvale", "model": "GT 18"}
    return made(actor, add_sheet, **{**defaults, **more})


def a_limit(actor: Actor, sheet_id: UUID, **more: object) -> UUID:
    """The air gap of an ignition; its figures are common practice, no source."""
    figures = {"quantity": "length", "unit": "in", "nominal": "0.016", "tolerance": "0.008"}
    return made(
        actor, add_limit, **{"id": uuid7(), "sheet_id": sheet_id, "what": "Ignition air gap", **figures, **more}
    )


def a_sheet_entry(actor: Actor, sheet_id: UUID, **more: object) -> UUID:
    defaults = {"id": uuid7(), "sheet_id": sheet_id, "kind": "note", "words": "Drain the fuel first"}
    return made(actor, add_sheet_entry, **{**defaults, **more})


def a_message(actor: Actor, about_id: UUID, **more: object) -> UUID:
    """A text message that a member sent from their own phone."""
    defaults = {
        "id": uuid7(),
        "address": "555-014-2210",
        "body": "On our way.",
        "about_kind": "job",
        "about_id": about_id,
    }
    return made(actor, record_message, **{**defaults, "sent_at": datetime(2026, 5, 1, 10, tzinfo=UTC), **more})


def a_follow_up(actor: Actor, job_id: UUID) -> UUID:
    """A follow-up about a job, inserted directly: only the sweep creates them."""
    with in_shop(actor.shop_id):
        fields = {"kind": "job_still", "about_kind": "job", "about_id": job_id, "job_id": job_id, "due_on": today()}
        return FollowUp.objects.create(shop_id=actor.shop_id, **fields).id


def a_template(actor: Actor) -> UUID:
    args = {"id": uuid7(), "key": "machine_ready", "channel": "sms", "body": "{machine} is done. {shop}"}
    return made(actor, put_notice_template, **args)


def an_opt_out(actor: Actor) -> UUID:
    return made(actor, opt_out, id=uuid7(), channel="sms", address="555-014-2210")


def a_push_device(actor: Actor) -> UUID:
    """The acting device shows push messages; the keys are those of RFC 8291, section 5."""
    keys = {
        "p256dh": "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4",
        "auth": "BTBZMqHH6r4Tts7J_aSIgg",
    }
    return made(actor, turn_on_push, id=uuid7(), endpoint="https://fcm.googleapis.com/fcm/send/abc", **keys)


def a_complaint(actor: Actor, job_id: UUID, **more: object) -> UUID:
    return made(actor, add_complaint, **{"id": uuid7(), "job_id": job_id, "words": "It will not turn over.", **more})


def a_finding(actor: Actor, job_id: UUID, **more: object) -> UUID:
    defaults = {"id": uuid7(), "job_id": job_id, "words": "The starter's brushes are worn.", "rank": "needed"}
    return made(actor, record_finding, **{**defaults, **more})


def a_safety_item(actor: Actor, job_id: UUID, **more: object) -> UUID:
    """A seat switch that does not work, with a finding of its own."""
    device = {"device": "seat_switch", "condition": "not_working", "protection_lost": "The engine runs on."}
    return made(actor, record_safety_item, **{"id": uuid7(), "job_id": job_id, **device, **more})


def an_acknowledgement(actor: Actor, finding_id: UUID, **more: object) -> UUID:
    """The customer was told of a finding by phone and wants it left."""
    words = {"finding_words": "The seat switch is worn.", "protection_lost": "The engine runs on without the operator."}
    said = {"acknowledged_by_name": "Winnie Stroud", "how": "call", "acknowledged_at": now()}
    return made(actor, acknowledge_finding, **{"id": uuid7(), "finding_id": finding_id, **words, **said, **more})


def a_supplier(actor: Actor, **more: object) -> UUID:
    return made(actor, add_supplier, **{"id": uuid7(), "name": "Platte Valley Parts", **more})


def a_part_need(actor: Actor, job_id: UUID, **more: object) -> UUID:
    defaults = {"id": uuid7(), "job_id": job_id, "number": "754-1", "description": "Deck belt"}
    return made(actor, add_part_need, **{**defaults, **more})


def a_clock(actor: Actor, job_id: UUID | None, **more: object) -> UUID:
    """A clock started now, for repair."""
    defaults = {"id": uuid7(), "kind": "repair", "job_id": job_id, "started_at": now()}
    return made(actor, start_clock, **{**defaults, **more})


def prices_of(actor: Actor) -> dict[str, Any]:
    """What the shop charges, as stored JSON."""
    with in_shop(actor.shop_id):
        found: dict[str, Any] = PriceBook.objects.get().prices
    return found


def save_prices(actor: Actor, changed: dict[str, Any]) -> dict[str, Any]:
    """Change some of what the shop charges; returns all of it as it is stored."""
    seen = prices_of(actor)
    do(actor, edit_price_book, id=actor.shop_id, base={"prices": seen}, set={"prices": seen | changed})
    return prices_of(actor)


def confirm_prices(actor: Actor) -> None:
    """Confirm what the shop charges as it is."""
    seen: dict[str, Any] = {"confirmed": []}
    do(actor, edit_price_book, id=actor.shop_id, base=seen, set={"confirmed": PRICE_PARTS})


def a_basis(actor: Actor) -> dict[str, Any]:
    """The prices that a new shop starts with, labor 90.00 and parts + 40 %; the tax that is in force in this shop."""
    with in_shop(actor.shop_id):
        shop = shop_of(actor)
        profile = profile_on(parse(ShopPrices, prices_of(actor)).tax_profiles, clock.today(shop.zone))
    assert profile is not None
    return {**starting_prices("USD"), "tax_profiles": [to_json(profile)]}


def a_draft(actor: Actor, job_id: UUID, **more: object) -> UUID:
    """A draft without lines, on `a_basis`: no tax, unless the shop has entered some."""
    defaults = {"id": uuid7(), "job_id": job_id, "mark": "B-7-1", "basis": more.pop("basis", None) or a_basis(actor)}
    return made(actor, draft_quote, **{**defaults, **more})


def labor(**more: object) -> dict[str, object]:
    """An hour and a half at the standard rate: 135.00."""
    defaults = {
        "id": uuid7(),
        "position": 0,
        "kind": "labor",
        "rank": "needed",
        "words": "Fit new brushes",
        "hours": "1.5",
    }
    return {**defaults, **more}


def part(**more: object) -> dict[str, object]:
    """Two at a cost of 10.00 each, asked 14.00: 28.00."""
    defaults = {"id": uuid7(), "position": 1, "kind": "part", "rank": "needed", "words": "Brush set", "quantity": "2"}
    return {**defaults, "unit_cost_minor": 1000, **more}


def a_quote(actor: Actor, job_id: UUID, **more: object) -> UUID:
    """A draft of 163.00: one line of labor, one of parts."""
    quote_id = a_draft(actor, job_id, **more)
    for line in (labor(), part()):
        do(actor, put_quote_line, quote_id=quote_id, **line)
    return quote_id


def offer_of(
    actor: Actor,
    quote_id: UUID,
    *,
    days: int = 30,
    digest_of: Callable[[dict[str, Any]], str] = json_digest,
    language: Language = "en",
) -> dict[str, Any]:
    """The arguments to offer a draft, valid `days` from today; as older apps do it, without names, in English."""
    with in_shop(actor.shop_id):
        quote = Quote.objects.select_related("job__customer", "job__machine").get(id=quote_id)
        shown = queries.shown_for(actor, quote.job).model_copy(update={"language": language})
        document = offer_document(
            quote_id=quote.id,
            revision=quote.revision,
            kind=queries.kind_of(quote),
            shop_name=shown.shop,
            customer_name=shown.customer,
            machine=shown.machine,
            book=queries.basis_of(quote),
            lines=queries.lines_of(quote),
            discount=queries.discount_of(quote),
            exempt=shown.exempt,
            valid_until=now().date() + timedelta(days=days),
            language=language,
        )
    return {
        "id": quote_id,
        "valid_until": document["valid_until"],
        "digest": digest_of(document),
        "total_minor": document["total_minor"],
        **({} if language == "en" else {"shown": to_json(shown)}),
    }


def an_offer(actor: Actor, job_id: UUID, **more: object) -> UUID:
    quote_id = a_quote(actor, job_id, **more)
    do(actor, offer_quote, **offer_of(actor, quote_id))
    return quote_id


def decision_on(actor: Actor, quote_id: UUID, *, accept: int | None = None, **more: object) -> dict[str, Any]:
    """The arguments of a decision on an offer: the first `accept` lines taken (None: all), the others not."""
    with in_shop(actor.shop_id):
        quote = Quote.objects.get(id=quote_id)
        ids = list(quote.lines.order_by("position").values_list("id", flat=True))
    taken = ids if accept is None else ids[:accept]
    defaults = {
        "id": uuid7(),
        "quote_id": quote_id,
        "revision": quote.revision,
        "how": "glass",
        "decided_by_name": "Winnie Stroud",
        "decided_at": now().isoformat().replace("+00:00", "Z"),
        "zone": "America/Chicago",
        "digest": quote.offer_digest,
        "accepted_ids": taken,
        "declined_ids": [one for one in ids if one not in taken],
        "signature": {"id": uuid7(), "strokes": INK, "width": 320, "height": 120},
    }
    said: dict[str, Any] = to_json({**defaults, **more})
    return said


def a_decision(actor: Actor, quote_id: UUID, **more: Any) -> UUID:
    return made(actor, decide_quote, **decision_on(actor, quote_id, **more))


def a_request(actor: Actor, quote_id: UUID, **more: object) -> UUID:
    """A link for the customer about an offered quote, as a QR code."""
    return made(actor, send_approval_request, **{"id": uuid7(), "quote_id": quote_id, "channel": "qr", **more})


def a_question(actor: Actor, link_id: UUID) -> UUID:
    return post_question(
        visit=LinkVisit(actor.shop_id, link_id), question=Question(words="Is it the original part?", name="Winnie")
    ).id


def path_of(actor: Actor, link_id: UUID) -> str:
    """The path at which the customer answers."""
    with in_shop(actor.shop_id):
        return urlsplit(address_of(ApprovalLink.objects.get(id=link_id))).path


def today() -> date:
    return now().date()
