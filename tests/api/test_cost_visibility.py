"""Costs and mark-ups reach nobody who may not see them, by any route.

Figures that occur nowhere else are planted in every field that holds a cost or a mark-up. Then everything that a
mechanic can read is read. The owner reads the same, and finds them: so the search finds what is there.
"""

import io
import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any, cast

import pytest
from pypdf import PdfReader

from shopapi.accounts.queries import system_actor
from shopapi.accounts.rules import NewDevice, Permission
from shopapi.accounts.services.devices import register_device, revoke_device
from shopapi.billing.api.reports import REPORTS
from shopapi.billing.rules.earnings import JobMarginRow, MarginGroup, MarginReport
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.models import Issue
from shopapi.core.schema import HIDDEN, Schema, to_json
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.services.calendars import open_calendar
from shopapi.parts.services.arrivals import record_part_arrival
from shopapi.parts.services.order_pdf import make_order_pdf, print_part_order
from shopapi.parts.services.orders import add_part_order, add_part_order_line, edit_part_order, note_part_order_sent
from shopapi.parts.services.returns import add_part_return
from shopapi.parts.services.suppliers import add_supplier
from shopapi.quotes.rules.starting_prices import starting_prices
from shopapi.quotes.services.drafts import offer_quote, put_quote_line
from shopapi.quotes.services.quote_pdf import make_pdf
from tests.api.conftest import PopulatedShop, create_populated_shop
from tests.factories import work
from tests.factories.crews import Browser
from tests.factories.work import do
from tests.structure.test_edge import routes
from tests.sync.direct_push import push

# Of eight or nine digits each, with points and separators left out: long enough not to turn up in an id by chance.
COSTS = (731000717, 732000727, 733000737)
MARKUPS = ("13.250731", "17.750732", "19.250733")
BAND_LIMIT = 765432101
CANARIES = {str(one) for one in (*COSTS, BAND_LIMIT)} | {one.replace(".", "") for one in MARKUPS}
PARAMETERS: tuple[dict[str, str], ...] = (
    {},
    {"first": "2026-01-01", "last": "2026-12-31"},
    {"day": now().date().isoformat()},
    {"q": "brush"},
    {"operation": "carburetor clean", "machine_kind": "garden tractor"},
)


def price_book_with_band(band: str) -> dict[str, Any]:
    bands = [{"up_to_minor": BAND_LIMIT, "markup_percent": band}, {"up_to_minor": None, "markup_percent": "1"}]
    return {**starting_prices("USD"), "part_bands": bands}


class RoleClients:
    """A mechanic and the owner, each with a device that has taken its first snapshot."""

    def __init__(self, populated: PopulatedShop) -> None:
        self.populated = populated
        for actor in (populated.crew.mechanic, populated.crew.office):
            # Each sees their own alone.
            do(actor, open_calendar, id=uuid7())
            work.a_push_device(actor)
        self.actors = {"mechanic": populated.crew.mechanic, "owner": populated.crew.owner}
        self.browsers = {name: Browser(actor) for name, actor in self.actors.items()}
        self.cursors = {name: self.snapshot(name)[-1]["cursor"] for name in self.actors}
        self.written: dict[str, list[Any]] = {name: [] for name in self.actors}

    def snapshot(self, who: str) -> list[dict[str, Any]]:
        pages: list[dict[str, Any]] = []
        while not pages or pages[-1]["after"]:
            more = {"after": pages[-1]["after"]} if pages else {}
            pages.append(self.browsers[who].get("sync/snapshot", device=str(self.actors[who].device_id), **more).json())
        return pages

    def write(self, who: str, path: str, body: Mapping[str, Any]) -> Any:
        """A write over REST; its answer is read too."""
        answer = self.browsers[who].post(path, to_json(body))
        self.written[who].append((path, answer))
        return answer

    def send(self, who: str, name: str, args: Mapping[str, Any]) -> None:
        """A command of the phone; its outcome is read too, at once and later."""
        (said,) = push(self.actors[who], (name, dict(args)))
        self.written[who].append((f"outcome of {name}", to_json(said)))
        self.written[who].append((f"read of {name}", self.browsers[who].get(f"sync/commands/{said.id}")))

    def readable_texts(self, who: str) -> Iterator[tuple[str, str]]:
        """Every response that this member can get, by its path (ids left out)."""
        for page in self.snapshot(who):
            yield "sync/snapshot", json.dumps(page)
        device = str(self.actors[who].device_id)
        pulled = self.browsers[who].get("sync/pull", device=device, cursor=self.cursors[who])
        assert pulled.json()["rows"], "nothing was pulled"
        yield "sync/pull", text_of(pulled)
        yield "session", text_of(self.browsers[who].get("session"))
        for path, answer in self.written[who]:
            yield path, json.dumps(answer) if isinstance(answer, dict) else text_of(answer)
        yield from self._other_texts(who)

    def _other_texts(self, who: str) -> Iterator[tuple[str, str]]:
        browser, read = self.browsers[who], set()
        ids: dict[str, list[str]] = {}
        known = {
            path.removeprefix("api/v1/"): cast(Any, found.callback).cls.needs.get("GET")
            for path, found in routes()
            if path.startswith("api/v1/") and hasattr(getattr(found.callback, "cls", None), "needs")
        }
        gets = {path: needs for path, needs in known.items() if needs and not path.startswith("sync/")}
        for path in sorted(gets, key=lambda path: "<" in path):
            if not self.actors[who].may(gets[path]):
                continue
            plural = path.split("/", maxsplit=1)[0]
            wheres = [path.replace("<uuid:row_id>", one) for one in ids.get(plural, [])] if "<" in path else [path]
            for where in wheres:
                own = {"member_id": str(self.actors[who].member_id), "rate_minor": "2500"}
                for query in (*PARAMETERS, own) if "<" not in path else ({},):
                    for answer in pages(browser, where, query):
                        read.add(path)
                        yield path, text_of(answer)
                        if "<" not in path and "rows" in (found := as_json(answer)):
                            ids.setdefault(plural, []).extend(row["id"] for row in found["rows"] if "id" in row)
        # Pictures and uploads have no bytes here, nobody is invited; all else must have been read.
        unread = {path for path in gets if self.actors[who].may(gets[path])} - read
        assert unread - {"invitations/<uuid:row_id>/address"} == {
            "attachments/<uuid:row_id>/picture",
            "attachments/<uuid:row_id>/thumbnail",
            "attachments/<uuid:row_id>/voice",
            # Of drafts there are none.
            *(f"invoices/<uuid:row_id>/{form}" for form in ("cii", "factur-x", "pdf", "ubl")),
            "billing-printouts/<uuid:row_id>/pdf",
            "stock-sheets/<uuid:row_id>/pdf",
            "label-sheets/<uuid:row_id>/pdf",
            "uploads/<uuid:row_id>",
            "printouts/<uuid:row_id>/pdf",
            "printouts/<uuid:row_id>/paper",
        }


def pages(browser: Browser, where: str, query: dict[str, str]) -> Iterator[Any]:
    """The answer, and the further pages of a list; nothing where it is refused."""
    while True:
        answer = browser.get(where, **query)
        assert answer.status_code < 500, (where, answer.content)
        if answer.status_code != 200:
            return
        yield answer
        cursor = as_json(answer).get("next")
        if not cursor:
            return
        query = {**query, "cursor": str(cursor)}


def as_json(answer: Any) -> dict[str, Any]:
    found = answer.json() if answer["Content-Type"] == "application/json" else {}
    return found if isinstance(found, dict) else {}


def text_of(answer: Any) -> str:
    content = b"".join(answer.streaming_content) if getattr(answer, "streaming", False) else answer.content
    if answer["Content-Type"] == "application/pdf":
        return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages)
    return str(content.decode())


def canaries_in(text: str) -> set[str]:
    compact = re.sub(r"(?<=\d)[,.\u00a0\u202f' ](?=\d)", "", text)
    return {canary for canary in CANARIES if canary in compact}


@pytest.fixture
def clients(committed_db: None) -> RoleClients:
    return RoleClients(create_populated_shop("Bench & Bar"))


def plant_canaries(clients: RoleClients) -> None:
    """Store canary costs and mark-ups by every route that writes them."""
    crew, job = clients.populated.crew, clients.populated.ids["jobs"]
    owner = crew.owner
    first = starting_prices("USD")
    work.save_prices(owner, price_book_with_band(MARKUPS[0]))
    # Two owners' phones with two price books: theirs and ours of one issue.
    clients.send(
        "owner",
        "edit_price_book",
        {"id": crew.shop_id, "base": {"prices": first}, "set": {"prices": price_book_with_band(MARKUPS[1])}},
    )
    # A quote, offered, printed, sent to the customer, decided.
    quote = work.a_draft(owner, job, basis=price_book_with_band(MARKUPS[0]))
    part = {**work.part(unit_cost_minor=COSTS[0], quantity="1"), "quote_id": quote}
    assert clients.write("owner", "quote-lines", part).status_code == 201
    do(owner, offer_quote, **work.offer_of(owner, quote))
    work.a_request(owner, quote)
    work.a_decision(owner, quote)
    with in_shop(crew.shop_id):
        make_pdf(actor=system_actor(crew.shop_id), quote_id=quote)
    # A draft that the mechanic goes on with, and one of their own: it takes the shop's mark-ups.
    draft = work.a_draft(owner, job, basis=price_book_with_band(MARKUPS[0]))
    line = {**work.part(unit_cost_minor=COSTS[1], quantity="1"), "quote_id": draft}
    do(owner, put_quote_line, **line)
    own = {"id": uuid7(), "job_id": job, "mark": "B-7-9", "basis": {**first, "part_bands": []}}
    assert clients.write("mechanic", "quotes", own).status_code == 201
    # As the mechanic sees the line: the price that came of cost and mark-up, and no cost.
    price = clients.browsers["mechanic"].get(f"quote-lines/{line['id']}").json()["unit_price_minor"]
    over = {**line, "unit_cost_minor": None, "unit_price_minor": price, "words": "Brush set, both"}
    assert clients.write("mechanic", "quote-lines", over).status_code == 201
    clients.send("mechanic", "put_quote_line", to_json({**over, "words": ""}))
    clients.send("mechanic", "draft_quote", to_json({**own, "id": uuid7(), "basis": {**first, "currency": "EUR"}}))
    # What a signed-off phone of the owner still sent: held, and shown to everybody who settles.
    lost = replace(owner, device_id=register_device(actor=owner, data=NewDevice(id=uuid7())).id)
    do(owner, revoke_device, id=lost.device_id)
    # That closed the owner's calendars; a new one is open, so that its address is read too.
    do(owner, open_calendar, id=uuid7())
    push(
        lost,
        ("draft_quote", {"id": uuid7(), "job_id": job, "mark": "X", "basis": price_book_with_band(MARKUPS[2])}),
        ("put_quote_line", {**work.part(unit_cost_minor=COSTS[2]), "quote_id": draft}),
        (
            "edit_price_book",
            {"id": crew.shop_id, "base": {"prices": first}, "set": {"prices": price_book_with_band(MARKUPS[2])}},
        ),
    )
    # One that was held before such commands were refused.
    with in_shop(crew.shop_id):
        Issue.objects.create(
            shop_id=crew.shop_id,
            kind=Issue.Kind.HELD,
            command_id=uuid7(),
            name="edit_shop",
            entity_kind="command",
            entity_id=uuid7(),
            words="Look at it.",
            ours={"set": {"book": price_book_with_band(MARKUPS[2])}},
        )


def plant_order(clients: RoleClients) -> None:
    """An order of parts with its PDF, what came of it, its bill and a return, with canary costs in each."""
    owner = clients.populated.crew.owner
    supplier, order, line = uuid7(), uuid7(), uuid7()
    do(owner, add_supplier, id=supplier, name="Oakline Supply")
    do(owner, add_part_order, id=order, supplier_id=supplier)
    do(owner, add_part_order_line, id=line, order_id=order, description="Deck belt", cost_minor=COSTS[0])
    do(owner, note_part_order_sent, id=order, how="phone", sent_at=now())
    do(owner, edit_part_order, id=order, base={"bill_minor": None}, set={"bill_minor": COSTS[1]})
    arrival = {"id": uuid7(), "order_line_id": line, "quantity": "1", "arrived_at": now(), "cost_minor": COSTS[2]}
    do(owner, record_part_arrival, **arrival)
    back = {"id": uuid7(), "supplier_id": supplier, "description": "Deck belt", "quantity": "1", "reason": "wrong"}
    do(owner, add_part_return, **back, expected_minor=COSTS[0])
    do(owner, print_part_order, id=order)
    with in_shop(owner.shop_id):
        make_order_pdf(actor=system_actor(owner.shop_id), order_id=order)


def test_no_cost_or_markup_reaches_a_mechanic(clients: RoleClients) -> None:
    plant_canaries(clients)
    plant_order(clients)
    seen: dict[str, dict[str, set[str]]] = {}
    for who in clients.actors:
        for path, text in clients.readable_texts(who):
            seen.setdefault(who, {}).setdefault(path, set()).update(canaries_in(text))
    leaks = {path: found for path, found in seen["mechanic"].items() if found}
    assert leaks == {}
    # The owner is shown all of it, in each place where a mechanic might have been.
    found = {path for path, canaries in seen["owner"].items() if canaries}
    assert found >= {
        "sync/snapshot",
        "sync/pull",
        "changes",
        "price-book",
        "price-book/<uuid:row_id>",
        "quotes",
        "quotes/<uuid:row_id>",
        "quote-lines",
        "quote-lines/<uuid:row_id>",
        "issues",
        "issues/<uuid:row_id>",
        "audit-events",
        "audit-events/<uuid:row_id>",
    }
    assert set.union(*seen["owner"].values()) == CANARIES
    # What is printed for the customer names no cost to anybody.
    assert seen["owner"]["quotes/<uuid:row_id>/pdf"] == set()


def test_customer_pages_show_no_cost(clients: RoleClients) -> None:
    plant_canaries(clients)
    link = work.a_request(
        clients.actors["owner"], work.an_offer(clients.actors["owner"], clients.populated.ids["jobs"])
    )
    page = Browser().client.get(work.path_of(clients.actors["owner"], link))
    assert page.status_code == 200
    assert canaries_in(page.content.decode()) == set()


def _schemas(schema: type[Schema] = Schema) -> Iterator[type[Schema]]:
    for one in schema.__subclasses__():
        yield one
        yield from _schemas(one)


def test_every_field_named_like_a_cost_is_hidden() -> None:
    """Every hidden field is declared as such, is inside a declared one, or is in a report of its own permission."""
    within_hidden = {("PartBand", "markup_percent"), ("PartBand", "up_to_minor")}
    margin = [report for report in REPORTS if report.row is MarginReport]
    assert [report.reads for report in margin] == [Permission.SEE_COST]
    within_hidden |= {(schema.__name__, name) for schema in (JobMarginRow, MarginGroup) for name in schema.model_fields}
    sounds = re.compile(r"(^|_)(cost|markup|margin|purchase|wholesale)(_|$)")
    found = {(schema.__name__, name) for schema in _schemas() for name in schema.model_fields if sounds.search(name)}
    found -= {(schema.__name__, "may_see_cost") for schema in _schemas()}
    assert found
    assert {(schema, name) for schema, name in found if name not in HIDDEN} <= within_hidden
    assert {mark.permission for mark in HIDDEN.values()} == {Permission.SEE_COST}


def test_canary_search_finds_every_number_format() -> None:
    assert canaries_in("7,310,007.17 and 13.250731 %") == {"731000717", "13250731"}
    assert canaries_in("nothing of the kind: 731000718") == set()
