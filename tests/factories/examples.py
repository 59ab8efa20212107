"""For every command: arguments that the server applies.

    scene = Scene(crew.owner)
    scene.example("stop_clock")  # {"id": "…", "ended_at": "…"}: plain values, as a phone sends them

A scene is one customer with a site, a machine, a job and so on, each made when it is first needed. The rows that an
example needs are made first, through the same services: examples do not use up each other's rows, and each can be
asked for again.

Nearly all of it is derived, so that a new command or resource needs nothing here:

- whether the command makes a row (a new id) or is about one (a new row of its resource) is read from its declaration;
- a required field that names a row (`job_id`, `machine_ids`) gets the scene's row of that kind;
- other required fields get a value that fits their JSON Schema; optional ones are left out;
- an edit changes the first field that takes another value.

What a rule asks beyond that is written below: one function a command (`@rule`), and one function a resource (`@made`)
where no command makes its rows. `tests/sync/test_every_command.py` shows that the server applies every example.
"""

from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, date, datetime, timedelta
from functools import cache
from itertools import count
from typing import Any
from uuid import UUID

from django.db.models import Model

from shopapi.accounts.queries import actor_of
from shopapi.accounts.rules import NewDevice, NewInvitation, Role
from shopapi.accounts.services.devices import register_device
from shopapi.accounts.services.invitations import join_at_once
from shopapi.bench.rules.default_circuits import default_circuit
from shopapi.billing.rules.settings import no_accounts
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.commands import Command
from shopapi.core.errors import Reason
from shopapi.core.feed import lock_shop, open_issue
from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent, Issue
from shopapi.core.resources import Resource, all_resources, resource_of
from shopapi.core.schema import parse, to_json
from shopapi.core.tenancy import in_shop
from shopapi.customers.services.imports import import_rows, store_upload
from shopapi.dispatch.rules.schemas.hand_over import HandOverRecord
from shopapi.dispatch.services.hand_overs import digest_of
from shopapi.dispatch.services.plan_execution import execute_plan_request
from shopapi.notices.models import Notice
from shopapi.parts.models import SupplierPrice
from shopapi.parts.rules.price_list_schemas import PriceListOptions
from shopapi.parts.services.price_lists import import_price_list, store_price_list
from shopapi.quotes.models import Signature
from shopapi.quotes.rules.starting_prices import starting_prices
from shopapi.webhooks.models import WebhookDelivery
from shopapi.webhooks.services.webhooks import make_secret
from tests.factories import bills, rigs, work
from tests.factories.crews import PASSWORD
from tests.factories.hours import a_history
from tests.factories.work import do

Args = dict[str, Any]
RULES: dict[str, Callable[["Scene"], Args]] = {}
MADE: dict[str, Callable[["Scene"], UUID]] = {}


def rule(function: Callable[["Scene"], Args]) -> Callable[["Scene"], Args]:
    """Registers the arguments of the command with the function's name."""
    RULES[function.__name__] = function
    return function


def made(function: Callable[["Scene"], UUID]) -> Callable[["Scene"], UUID]:
    """A new row of the resource of the function's name, for those that their usual command cannot make."""
    MADE[function.__name__] = function
    return function


@cache
def commands() -> Mapping[str, tuple[Resource, Command[Any, Any]]]:
    """Every command of every resource, by name."""
    return {command.name: (resource, command) for resource in all_resources() for command in resource.commands}


class Scene:
    """One of each resource in one shop, as an actor sees it; made when it is asked for, unless it is there by kind."""

    def __init__(self, actor: Actor, rows: Mapping[str, UUID] | None = None) -> None:
        self.actor = actor
        self._rows: dict[str, UUID] = dict(rows or {})

    def the(self, kind: str) -> UUID:
        """The scene's own row of a kind."""
        if kind not in self._rows:
            self._rows[kind] = self.new(kind)
        return self._rows[kind]

    def new(self, kind: str) -> UUID:
        """A new row of a kind; the rows that it points to are the scene's."""
        if kind in MADE:
            return MADE[kind](self)
        return self.do(next(iter(resource_of(kind).create_commands.values())).name)

    def do(self, name: str, **more: Any) -> UUID:
        """Run the example of a command; returns the id of its row."""
        row_id: UUID = do(self.actor, commands()[name][1], **(self.example(name) | more)).id
        return row_id

    def row(self, kind: str, row_id: Any) -> Model:
        with in_shop(self.actor.shop_id):
            found: Model = resource_of(kind).model._default_manager.get(pk=row_id)
            return found

    def example(self, name: str) -> Args:
        """Arguments of a command in plain values; the rows that they refer to exist."""
        resource, command = commands()[name]
        args: Args = RULES[name](self) if name in RULES else {}
        if "id" not in args:
            args["id"] = uuid7() if command.creates_row else self.new(resource.kind)
        schema = command.schema.model_json_schema()
        for field in schema["required"]:
            if field not in args and field not in ("base", "set"):
                args[field] = self._value(resource, field, schema["properties"][field], schema)
        if command.edits is not None and "set" not in args:
            args |= self._edit(resource, command, args["id"])
        found: Args = to_json(args)
        return found

    def _value(self, resource: Resource, field: str, part: Any, schema: Any) -> Any:
        if field.endswith("_id"):
            return self.the(kind_of(resource, field))
        if field.endswith("_ids"):
            return [self.the(kind_of(resource, field.removesuffix("s")))]
        return fitting(part, schema, field)

    def _edit(self, resource: Resource, command: Command[Any, Any], row_id: UUID) -> Args:
        row = self.row(resource.kind, row_id)
        for field, value in edits_of(command):
            current = to_json(getattr(row, field))
            if current != value:
                return {"base": {field: current}, "set": {field: value}}
        raise AssertionError(f"{command.name}: no field takes another value; write a rule for it")


def kind_of(resource: Resource, field: str) -> str:
    """The kind of row that a field ending in `_id` names: that of the resource's own key, else what the name says."""
    name = field.removesuffix("_id")
    keys = {key.name: key.related_model for key in resource.model._meta.concrete_fields if key.is_relation}
    kinds = {other.model: other.kind for other in all_resources()}
    model: Any = keys.get(name)
    return kinds.get(model, name)


def fitting(part: Any, schema: Any, field: str) -> Any:
    """A minimal plain value that fits a JSON Schema."""
    if "$ref" in part:
        return fitting(schema["$defs"][part["$ref"].rsplit("/", 1)[-1]], schema, field)
    for several in ("anyOf", "allOf"):
        if several in part:
            return fitting(next(one for one in part[several] if one.get("type") != "null"), schema, field)
    if "const" in part or "enum" in part:
        return part.get("const", part.get("enum", [None])[0])
    if part["type"] == "object":
        properties = part.get("properties", {})
        return {name: fitting(properties[name], schema, name) for name in part.get("required", [])}
    if part["type"] == "array":
        return [fitting(part["items"], schema, field)] * part.get("minItems", 0)
    if part["type"] == "string":
        return text(part, field)
    return {"integer": part.get("minimum", 1), "number": part.get("minimum", 1), "boolean": True}[part["type"]]


def text(part: Any, field: str) -> str:
    present = now()
    formats = {
        "uuid": str(uuid7()),
        "date": present.date().isoformat(),
        "date-time": instant(present),
        "decimal": "1",
    }
    assert "pattern" not in part, f"“{field}” must match {part['pattern']}; write a rule for this command"
    return formats.get(part.get("format", ""), f"Some {field.replace('_', ' ')}")


def instant(at: datetime) -> str:
    return at.isoformat().replace("+00:00", "Z")


def ago(**time: float) -> str:
    return instant(now() - timedelta(**time))


def hence(**time: float) -> str:
    return instant(now() + timedelta(**time))


# What a value must match exactly; a text without any of these is free.
EXACT = {"pattern", "format", "enum", "const"}


def edits_of(command: Command[Any, Any]) -> Iterator[tuple[str, Any]]:
    """Fields that an edit may change with a value that fits: plain texts first, then numbers and choices."""
    assert command.edits is not None
    schema = command.edits.model_json_schema()
    fields = {name: part for name, part in schema["properties"].items() if not name.endswith("_id")}
    plainly = [name for name, part in fields.items() if part.get("type") == "string" and len(part.keys() & EXACT) == 0]
    others = [name for name, part in fields.items() if part.get("type") in ("integer", "boolean")]
    for name in plainly + others:
        yield name, fitting(fields[name], schema, name)


def rest_path(name: str, row_id: object) -> str | None:
    """The path of a command on REST, below the API's root; None where it has none."""
    resource, command = commands()[name]
    for word, maker in resource.create_commands.items():
        if maker is command and resource.reads is not None:
            return f"{resource.plural}/{word}".rstrip("/")
    for word, verb in resource.actions.items():
        if verb is command and resource.reads is not None:
            return f"{resource.plural}/{row_id}/{word}"
    return None


# Resources that no command makes, or not as they are needed


@made
def customer_import(scene: "Scene") -> UUID:
    book = b"Name,Phone\nLena Ostrow,555 014 3306\n"
    with in_shop(scene.actor.shop_id):
        return store_upload(actor=scene.actor, import_id=uuid7(), file_name="book.csv", content=book).id


@made
def supplier_price_list(scene: Scene) -> UUID:
    content = b"number,description,cost\nHV-1204,Deck belt,18.42\n"
    supplier_id = scene.the("supplier")
    with in_shop(scene.actor.shop_id):
        return store_price_list(
            actor=scene.actor, list_id=uuid7(), supplier_id=supplier_id, file_name="list.csv", content=content
        ).id


@made
def supplier_price(scene: Scene) -> UUID:
    list_id = scene.the("supplier_price_list")
    import_price_list(actor=scene.actor, list_id=list_id, options=parse(PriceListOptions, {}))
    with in_shop(scene.actor.shop_id):
        return SupplierPrice.objects.values_list("id", flat=True).latest("created_at")


@made
def shop(scene: Scene) -> UUID:
    return scene.actor.shop_id


@made
def price_book(scene: Scene) -> UUID:
    return scene.actor.shop_id


@made
def member(scene: Scene) -> UUID:
    """A second owner, whose membership can be ended."""
    invitation = uuid7()
    email = f"{invitation.hex}@bench.example"
    data = NewInvitation(id=invitation, name="Rex Former", email=email, role=Role.OWNER)
    join_at_once(actor=scene.actor, data=data, password=PASSWORD)
    return invitation


@made
def device(scene: Scene) -> UUID:
    """One of another member: signing off one's own would sign off the session that does it."""
    holder = actor_of(scene.actor.shop_id, scene.the("member"), Role.OWNER, may_see_cost=True)
    return register_device(actor=holder, data=NewDevice(id=uuid7(), label="Tablet")).id


@made
def audit_event(scene: Scene) -> UUID:
    scene.the("customer")
    with in_shop(scene.actor.shop_id):
        return AuditEvent.objects.values_list("id", flat=True).latest("at")


@made
def follow_up(scene: Scene) -> UUID:
    return work.a_follow_up(scene.actor, scene.new("job"))


@made
def work_history(scene: Scene) -> UUID:
    return a_history(scene.actor.shop_id, operation=uuid7().hex).id


@made
def customer_question(scene: Scene) -> UUID:
    return work.a_question(scene.actor, scene.the("approval_link"))


@made
def signature(scene: Scene) -> UUID:
    scene.the("approval")
    with in_shop(scene.actor.shop_id):
        return Signature.objects.values_list("id", flat=True).latest("created_at")


@made
def quote_line(scene: Scene) -> UUID:
    """A line of a draft of its own: other examples offer the scene's quote as it is."""
    return scene.do("put_quote_line", quote_id=scene.new("quote"))


@made
def issue(scene: Scene) -> UUID:
    with in_shop(scene.actor.shop_id):
        return open_issue(
            shop_id=scene.actor.shop_id,
            kind=Issue.Kind.CONFLICT,
            command_id=None,
            name="edit_customer",
            entity=("customer", scene.the("customer")),
            reason=Reason("edited_twice"),
            theirs={"name": "Some name"},
            ours={"name": "Another name"},
            member_id=scene.actor.member_id,
        ).id


@made
def yard(scene: Scene) -> UUID:
    """A shop has one yard."""
    with in_shop(scene.actor.shop_id):
        known = resource_of("yard").model._default_manager.first()
    return known.pk if known else scene.do("set_up_yard")


# The stock


@rule
def transfer_stock(scene: Scene) -> Args:
    scene.do("count_stock", counted="9")
    return {
        "arriving_id": uuid7(),
        "from_place_id": scene.the("stock_place"),
        "to_place_id": scene.new("stock_place"),
        "quantity": "1",
    }


@rule
def print_stock_sheet(scene: Scene) -> Args:
    return {"place_id": scene.the("stock_place")}


# The bench


@rule
def record_check(scene: Scene) -> Args:
    """The item is that of a list, which may be gone."""
    return {"item_id": uuid7()}


@rule
def add_gauge(scene: Scene) -> Args:
    return {"quantity": "length", "unit": "mm", "uncertainty": "0.01"}


@rule
def edit_gauge(scene: Scene) -> Args:
    return {"base": {"notes": ""}, "set": {"notes": "Drawer 2"}}


@rule
def record_reading(scene: Scene) -> Args:
    return {"unit": "mm", "value": "0.25"}


# Invoices


@rule
def draft_invoice(scene: Scene) -> Args:
    return {"basis": work.a_basis(scene.actor), "lines": [work.labor(), work.part()]}


@rule
def choose_invoice_tax(scene: Scene) -> Args:
    (profile,) = work.a_basis(scene.actor)["tax_profiles"]
    return {"tax_profile": profile | {"label": "Another"}}


@rule
def put_invoice_line(_scene: Scene) -> Args:
    return {"kind": "fee", "fixed_minor": 500}


@rule
def issue_invoice(scene: Scene) -> Args:
    return bills.issue_of(scene.actor, scene.new("invoice"))


@rule
def draft_credit_note(scene: Scene) -> Args:
    return {"credited_id": scene.do("issue_invoice")}


@rule
def issue_credit_note(scene: Scene) -> Args:
    return bills.issue_of(scene.actor, scene.do("draft_credit_note"))


@rule
def remake_invoice_pdf(scene: Scene) -> Args:
    """An invoice whose PDF failed."""
    invoice_id = scene.do("issue_invoice")
    with in_shop(scene.actor.shop_id):
        resource_of("invoice").model._default_manager.filter(id=invoice_id).update(
            pdf_state="failed", pdf_reason="error"
        )
    return {"id": invoice_id}


@rule
def send_invoice(scene: Scene) -> Args:
    return {"id": scene.do("issue_invoice"), "channel": "email", "address": "winnie@stroud.example"}


@rule
def print_statement(_scene: Scene) -> Args:
    return {"first_on": "2026-05-01", "through": "2026-05-31"}


@rule
def send_billing_printout(_scene: Scene) -> Args:
    return {"channel": "email", "address": "winnie@stroud.example"}


@rule
def edit_billing_settings(scene: Scene) -> Args:
    return {"id": scene.actor.shop_id, "base": {"payment_days": 14}, "set": {"payment_days": 30}}


@rule
def edit_account_names(scene: Scene) -> Args:
    return {"id": scene.actor.shop_id, "base": {"accounts": no_accounts()}, "set": {"accounts": {"labor": "4100"}}}


@made
def billing_settings(scene: Scene) -> UUID:
    """One for each shop, made with it."""
    return scene.actor.shop_id


# Payments


@rule
def record_payment(scene: Scene) -> Args:
    """Of a job or of an invoice."""
    return {"job_id": scene.the("job")}


@rule
def record_refund(scene: Scene) -> Args:
    scene.do("record_payment", amount_minor=100)
    return {"job_id": scene.the("job"), "amount_minor": 40}


@rule
def reverse_payment(scene: Scene) -> Args:
    return {"reverses_id": scene.do("record_payment")}


# Closed periods


CLOSED_DAYS = count()


@rule
def close_period(_scene: Scene) -> Args:
    # Each closing of a shop has to be later than the last one.
    return {"closed_through": date(2015, 1, 1) + timedelta(days=next(CLOSED_DAYS))}


# Customers


@rule
def add_circuit(scene: Scene) -> Args:
    return {"name": "Start and kill", "wiring": default_circuit("geared")}


@rule
def record_circuit_observation(scene: Scene) -> Args:
    return {"observation": {"check": "crank", "tries": 3, "yes": 1}}


@rule
def undo_put_back(scene: Scene) -> Args:
    return {"id": scene.do("put_step_back")}


@rule
def add_customer(scene: Scene) -> Args:
    return {"phone": "(555) 014-2210", "email": "winnie@stroud.example"}


@rule
def add_sheet(scene: Scene) -> Args:
    """A sheet is about something."""
    return {"make": "Hartvale", "model": "GT 18"}


@rule
def add_limit(scene: Scene) -> Args:
    return {"quantity": "length", "unit": "in", "nominal": "0.016", "tolerance": "0.008"}


@rule
def edit_limit(scene: Scene) -> Args:
    return {"base": {"condition": ""}, "set": {"condition": "cold"}}


@rule
def add_sheet_entry(scene: Scene) -> Args:
    return {"kind": "note", "words": "Drain the fuel first"}


@rule
def edit_sheet_entry(scene: Scene) -> Args:
    return {"base": {"words": "Drain the fuel first"}, "set": {"words": "Run the tank dry first"}}


# Messages and follow-ups


@rule
def undo_customer_import(scene: Scene) -> Args:
    """Only an import that is done."""
    import_id = scene.do("start_customer_import")
    with in_shop(scene.actor.shop_id):
        lock_shop(scene.actor.shop_id)
        import_rows(actor=scene.actor, import_id=import_id)
    return {"id": import_id}


@rule
def add_site(scene: Scene) -> Args:
    """A site is named, or has an address."""
    return {"label": "Barn"}


@rule
def record_message(scene: Scene) -> Args:
    return {"address": "555-014-2210", "about_kind": "job", "about_id": scene.the("job")}


def a_notice(scene: Scene, **state: Any) -> UUID:
    """A pending message to the customer about a stop."""
    stop_id = scene.new("stop")
    scene.do("tell_arrival", id=stop_id, channel="email")
    with in_shop(scene.actor.shop_id):
        Notice.objects.filter(about_id=stop_id).update(**state)
        return Notice.objects.values_list("id", flat=True).get(about_id=stop_id)


@rule
def note_sent_by_hand(scene: Scene) -> Args:
    return {"id": a_notice(scene, state="by_hand")}


@rule
def send_again(scene: Scene) -> Args:
    """Only on a server that can send mail (`settings.SMTP`)."""
    return {"id": a_notice(scene, state="refused", reason="The mailbox was full.")}


@rule
def put_off_follow_up(scene: Scene) -> Args:
    return {"until": work.today() + timedelta(days=9)}


@rule
def take_up_follow_up(scene: Scene) -> Args:
    return {"id": scene.do("drop_follow_up")}


@rule
def put_notice_template(scene: Scene) -> Args:
    return {"key": "machine_ready", "channel": "sms", "body": "{machine} is done. {shop}"}


@rule
def opt_out(scene: Scene) -> Args:
    return {"channel": "email", "address": f"{uuid7().hex}@stroud.example"}


@rule
def add_webhook(scene: Scene) -> Args:
    return {"url": "https://books.example.com/hook", "label": "Bookkeeping", "kinds": ["invoice"]}


@rule
def change_webhook(scene: Scene) -> Args:
    return {"id": scene.the("webhook"), "url": "https://books.example.com/other"}


@rule
def test_webhook(scene: Scene) -> Args:
    webhook_id = scene.new("webhook")
    make_secret(actor=scene.actor, webhook_id=webhook_id)
    return {"id": webhook_id}


@made
def webhook_delivery(scene: Scene) -> UUID:
    """One that has arrived."""
    do(scene.actor, commands()["test_webhook"][1], **test_webhook(scene))
    with in_shop(scene.actor.shop_id):
        found = WebhookDelivery.objects.latest("created_at")
        found.state, found.next_at, found.status = "delivered", None, 204
        found.save(update_fields=["state", "next_at", "status"])
    return found.id


@rule
def turn_on_push(scene: Scene) -> Args:
    # The keys are those of RFC 8291, section 5.
    return {
        "endpoint": "https://fcm.googleapis.com/fcm/send/abc",
        "p256dh": "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4",
        "auth": "BTBZMqHH6r4Tts7J_aSIgg",
    }


# Orders of parts


@rule
def add_part_order_line(scene: Scene) -> Args:
    return {"description": "Deck belt"}


@rule
def mail_part_order(scene: Scene) -> Args:
    order = scene.new("part_order")
    scene.do("add_part_order_line", order_id=order)
    return {"id": order, "address": "parts@oakline.example"}


@rule
def answer_part_order_line(scene: Scene) -> Args:
    return {"id": sent_order(scene)[1], "answer": "confirmed"}


@rule
def fit_from_stock(scene: Scene) -> Args:
    # More than is there would be kept, and a person asked about it.
    scene.do("count_stock", counted="9")
    return {"quantity": "1"}


def sent_order(scene: Scene) -> tuple[UUID, UUID]:
    """An order that was sent, and its line."""
    order = scene.new("part_order")
    line = scene.do("add_part_order_line", order_id=order)
    scene.do("note_part_order_sent", id=order)
    return order, line


@rule
def close_part_order(scene: Scene) -> Args:
    return {"id": sent_order(scene)[0]}


@rule
def record_part_arrival(scene: Scene) -> Args:
    return {"order_line_id": sent_order(scene)[1]}


@rule
def add_part_return(scene: Scene) -> Args:
    return {"description": "Starter"}


@rule
def refund_part_return(scene: Scene) -> Args:
    return {"amount_minor": 1500}


# People and devices


@rule
def add_api_key(scene: Scene) -> Args:
    return {"label": "Bookkeeping", "permissions": ["read"]}


@rule
def invite_member(scene: Scene) -> Args:
    return {"email": f"{uuid7().hex}@bench.example"}


@rule
def resume_membership(scene: Scene) -> Args:
    return {"id": scene.do("end_membership")}


# Pictures, jobs, hours


@rule
def add_attachment(scene: Scene) -> Args:
    return {"about_kind": "job", "about_id": scene.the("job"), "sha256": "ab" * 32}


@rule
def move_part_need(scene: Scene) -> Args:
    return {"state": "ordered"}


@rule
def move_job(scene: Scene) -> Args:
    return {"stage": "diagnosis"}


@rule
def number_job(scene: Scene) -> Args:
    return exchanged_number(scene, "job", scene.new("job"), scene.new("job"))


def exchanged_number(scene: Scene, kind: str, one: UUID, other: UUID) -> Args:
    """An edit that gives one row the number of another."""
    numbers = [getattr(scene.row(kind, row_id), "number") for row_id in (one, other)]  # noqa: B009
    return {"id": one, "base": {"number": numbers[0]}, "set": {"number": numbers[1]}}


@rule
def start_clock(scene: Scene) -> Args:
    return {"kind": "repair", "job_id": scene.the("job"), "started_at": ago(minutes=1)}


@made
def time_entry(scene: Scene) -> UUID:
    return scene.do("start_clock")


@rule
def add_entry(scene: Scene) -> Args:
    """A few minutes years ago, which overlap no other entry."""
    began = datetime(2020, 1, 1, tzinfo=UTC) + timedelta(minutes=uuid7().int % 3_000_000)
    return {
        "kind": "repair",
        "job_id": scene.the("job"),
        "started_at": instant(began),
        "ended_at": instant(began + timedelta(seconds=50)),
    }


@rule
def correct_entry(scene: Scene) -> Args:
    entry_id = scene.do("add_entry")
    row: Any = scene.row("time_entry", entry_id)
    return {
        "entry_id": entry_id,
        "kind": "repair",
        "job_id": scene.the("job"),
        "started_at": instant(row.started_at),
        "ended_at": instant(row.ended_at - timedelta(seconds=5)),
    }


@rule
def settle_entries(scene: Scene) -> Args:
    """Two clocks of one member at the same time, each stopped."""
    began = datetime(2019, 1, 1, tzinfo=UTC) + timedelta(minutes=uuid7().int % 300_000)
    ids = []
    for _ in range(2):
        ids.append(scene.do("start_clock", started_at=instant(began)))
        scene.do("stop_clock", id=ids[-1], ended_at=instant(began + timedelta(seconds=50)))
    return {"id": ids[0], "other_id": ids[1]}


# Quotes


@rule
def edit_price_book(scene: Scene) -> Args:
    prices = work.prices_of(scene.actor)
    return {"base": {"prices": prices}, "set": {"prices": prices | {"terms": "Some terms"}}}


@rule
def draft_quote(scene: Scene) -> Args:
    return {"basis": work.a_basis(scene.actor)}


@rule
def choose_tax_profile(scene: Scene) -> Args:
    (profile,) = starting_prices("USD")["tax_profiles"]
    return {"tax_profile": profile}


@rule
def put_quote_line(scene: Scene) -> Args:
    return work.labor()


@rule
def offer_quote(scene: Scene) -> Args:
    return work.offer_of(scene.actor, work.a_quote(scene.actor, scene.the("job")))


def an_offer(scene: Scene) -> UUID:
    return scene.do("offer_quote")


@rule
def decide_quote(scene: Scene) -> Args:
    return work.decision_on(scene.actor, an_offer(scene))


@rule
def number_quote(scene: Scene) -> Args:
    return exchanged_number(scene, "quote", an_offer(scene), an_offer(scene))


@rule
def remake_pdf(scene: Scene) -> Args:
    """An offer whose PDF failed."""
    quote_id = an_offer(scene)
    with in_shop(scene.actor.shop_id):
        resource_of("quote").model._default_manager.filter(id=quote_id).update(pdf_state="failed", pdf_reason="error")
    return {"id": quote_id}


@rule
def send_approval_request(scene: Scene) -> Args:
    return {"quote_id": an_offer(scene), "channel": "qr"}


@rule
def send_ticket(scene: Scene) -> Args:
    return {"channel": "sms", "address": "402 555 0142"}


# Dispatch


@rule
def set_up_yard(scene: Scene) -> Args:
    return dict(rigs.YARD)


@rule
def add_rig(scene: Scene) -> Args:
    return {"payload_kg": 1500, "driver_id": scene.actor.member_id}


@rule
def ask_stop(scene: Scene) -> Args:
    return {"kind": "pickup", "site_id": scene.the("site")}


@rule
def ask_urgent_stop(scene: Scene) -> Args:
    return {"kind": "pickup", "site_id": scene.the("site"), "plan_id": uuid7()}


@rule
def ask_supplier_stop(scene: Scene) -> Args:
    return {"supplier_id": scene.the("supplier")}


@rule
def open_run(scene: Scene) -> Args:
    """A rig has one run a day."""
    return {"rig_id": scene.new("rig"), "day": rigs.tomorrow()}


def a_planned_stop(scene: Scene) -> tuple[UUID, UUID]:
    """A run, and a stop on it."""
    run_id = scene.new("run")
    return run_id, scene.do("move_stop", run_id=run_id)


@rule
def move_stop(scene: Scene) -> Args:
    return {"run_id": scene.the("run")}


@rule
def restore_stop(scene: Scene) -> Args:
    return {"id": scene.do("drop_stop")}


@rule
def pin_stop(scene: Scene) -> Args:
    return {"rig_id": scene.the("rig"), "after_id": scene.new("stop")}


@rule
def tell_arrival(scene: Scene) -> Args:
    return {"opens": hence(days=2), "closes": hence(days=2, hours=1)}


@rule
def unlock_run(scene: Scene) -> Args:
    return {"id": scene.do("lock_run")}


@rule
def repair_rig(scene: Scene) -> Args:
    return {"id": scene.do("report_breakdown")}


@rule
def report_breakdown(scene: Scene) -> Args:
    return {"at": ago(minutes=5)}


@rule
def start_run(scene: Scene) -> Args:
    return {"id": a_planned_stop(scene)[0], "at": ago(minutes=50)}


@rule
def arrive_stop(scene: Scene) -> Args:
    run_id, stop_id = a_planned_stop(scene)
    scene.do("start_run", id=run_id)
    return {"id": stop_id, "at": ago(minutes=40), "run_id": run_id}


@rule
def leave_stop(scene: Scene) -> Args:
    return {"id": scene.do("arrive_stop"), "at": ago(minutes=30)}


@rule
def fail_stop(scene: Scene) -> Args:
    return {"id": scene.do("arrive_stop"), "at": ago(minutes=30), "again_id": uuid7()}


@rule
def take_back_stamp(scene: Scene) -> Args:
    return {"id": scene.do("arrive_stop"), "stamp": "arrived"}


@rule
def end_run(scene: Scene) -> Args:
    return {"id": scene.do("start_run"), "at": ago(minutes=20)}


@rule
def hand_over(scene: Scene) -> Args:
    """A signed hand-over, so that its sheet can be printed."""
    args = {"id": uuid7(), "stop_id": scene.do("arrive_stop"), "at": ago(minutes=35), "keys": "One"}
    signed: Args = to_json({**args, "signer_name": "Winnie Stroud", "signature": ink()})
    return signed | {"digest": digest_of(parse(HandOverRecord, signed))}


def ink() -> Args:
    return {"id": uuid7(), "strokes": work.INK, "width": 320, "height": 120}


@rule
def request_plan(scene: Scene) -> Args:
    scene.the("yard")
    return {"days": [rigs.tomorrow()]}


@rule
def take_plan(scene: Scene) -> Args:
    scene.the("rig"), scene.the("stop")
    plan_id = scene.do("request_plan", rounds=1)
    execute_plan_request(shop_id=scene.actor.shop_id, plan_id=plan_id)
    return {"id": plan_id}


# The bench


@rule
def add_put_back_rule(scene: Scene) -> Args:
    """Two steps of one job."""
    return {"before_id": scene.new("removal_step"), "after_id": scene.new("removal_step")}


# Issues


@rule
def settle_issue(scene: Scene) -> Args:
    return {"choice": "theirs"}
