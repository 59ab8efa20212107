"""Quotes from the first line to the decision."""

import json
from datetime import timedelta

from shopapi.core.schema import parse, to_json
from shopapi.quotes.rules import QuoteLine, ShopPrices, basis_on, json_digest, offer_document
from shopapi.quotes.rules.lines import Discount
from tests.factories.work import INK
from tests.replay.generators.registry import Args, edit, generator, maybe, one, target, whose, words
from tests.replay.phone_replay import Row
from tests.replay.simulated_shop import SimulatedShop

# Quotes


def book_of(shop: SimulatedShop) -> Row:
    (row,) = shop.all("price_book")
    book: Row = json.loads(json.dumps(row["prices"]))
    return book


def basis_of(shop: SimulatedShop) -> Row | None:
    basis = basis_on(parse(ShopPrices, book_of(shop)), shop.today)
    return None if basis is None else to_json(basis)


@generator
def draft_quote(shop: SimulatedShop) -> Args:
    basis = basis_of(shop)
    before = one(shop, whose(shop, "quote", state=("offered", "decided", "lapsed")))
    job = one(shop, shop.all("job"))
    if basis is None or job is None:
        return None
    args = {
        "id": shop.mint(),
        "mark": f"B-{shop.random.randrange(99)}",
        "basis": basis,
        **maybe(shop, note=words(shop)),
    }
    replaced = {row["replaces_id"] for row in shop.all("quote") if row["state"] != "withdrawn"}
    if before is not None and before["id"] not in replaced and shop.random.random() < 0.6:
        return {**args, "job_id": before["job_id"], "kind": before["kind"], "replaces_id": before["id"]}
    return {**args, "job_id": job["id"], "kind": shop.random.choice(("first", "added"))}


def a_draft(shop: SimulatedShop) -> Row | None:
    return one(shop, whose(shop, "quote", state="draft"))


@generator
def edit_quote(shop: SimulatedShop) -> Args:
    discounts = ({"percent": "5", "minor": None}, {"percent": None, "minor": 300}, {"percent": None, "minor": None})
    fields = {"note": words(shop), "discount": shop.random.choice(discounts), "valid_until": shop.day(20)}
    return edit(shop, a_draft(shop), fields)


@generator
def choose_tax_profile(shop: SimulatedShop) -> Args:
    quote = a_draft(shop)
    profile = one(shop, book_of(shop)["tax_profiles"])
    return quote and profile and {"id": quote["id"], "tax_profile": profile}


LINE_FIELDS = (*QuoteLine.model_fields, "quote_id", "finding_id")


@generator
def put_quote_line(shop: SimulatedShop) -> Args:
    quote = a_draft(shop)
    if quote is None:
        return None
    lines = whose(shop, "quote_line", quote_id=quote["id"])
    known = one(shop, lines) if shop.random.random() < 0.25 else None
    if known is not None and known["kind"] != "discount":
        kept = {name: known[name] for name in LINE_FIELDS if name in known}
        return kept | {"words": words(shop), "rank": shop.random.choice(("needed", "advised"))}
    finding = one(shop, whose(shop, "finding", job_id=quote["job_id"]))
    hours = f"{shop.random.randrange(1, 9)}.{shop.random.choice((0, 5, 25))}"
    # Who may not see costs enters none.
    priced = "unit_cost_minor" if shop.actor.may("see_cost") else "unit_price_minor"
    price = {priced: shop.random.randrange(9000)}
    figures = shop.random.choice(
        (
            {"kind": "labor", "hours": hours, "operation": "deck belt"},
            {"kind": "labor", "hours": "2", "taxed": True, "discount_percent": "10"},
            {"kind": "part", "quantity": "2", **price, "core_minor": 500},
            {
                "kind": "part",
                "part_number": "BR-20",
                "quantity": "1.5",
                "unit_price_minor": shop.random.randrange(9000),
            },
            {"kind": "travel", "distance": "12.5"},
            {"kind": "fee", "fixed_minor": 1500, "later_minor": 9000},
            {"kind": "supplies", "fixed_minor": 700},
            {"kind": "discount", "discount_percent": "5"},
            {"kind": "discount", "discount_minor": 100},
        )
    )
    return {
        "id": shop.mint(),
        "quote_id": quote["id"],
        "position": len(lines),
        "rank": shop.random.choice(("safety", "needed", "advised")),
        "words": words(shop),
        **maybe(shop, included=words(shop), found=words(shop)),
        **_asked(shop, figures["kind"], lines),
        **({"finding_id": finding["id"]} if finding and shop.random.random() < 0.6 else {}),
        **figures,
    }


def _asked(shop: SimulatedShop, kind: object, lines: list[Row]) -> Row:
    if kind in ("labor", "part") and lines:
        return maybe(shop, belongs_to_id=shop.random.choice(lines)["id"], apart=shop.random.random() < 0.3)
    return maybe(shop, agreed=True) if kind in ("travel", "fee") else {}


@generator
def remove_quote_line(shop: SimulatedShop) -> Args:
    drafts = {quote["id"] for quote in whose(shop, "quote", state="draft")}
    lines = [line for line in shop.all("quote_line") if line["quote_id"] in drafts]
    return target(one(shop, lines if len(lines) > 1 or shop.random.random() < 0.5 else []))


def lines_of(shop: SimulatedShop, quote: Row) -> list[QuoteLine]:
    rows = whose(shop, "quote_line", quote_id=quote["id"])
    return [parse(QuoteLine, {name: row[name] for name in QuoteLine.model_fields if name in row}) for row in rows]


@generator
def offer_quote(shop: SimulatedShop) -> Args:
    drawn = {line["quote_id"] for line in shop.all("quote_line")}
    quote = one(shop, [row for row in whose(shop, "quote", state="draft") if row["id"] in drawn])
    if quote is None or quote["totals"] is None:
        return None
    job = shop.rows["job"][quote["job_id"]]
    (here,) = shop.all("shop")
    customer, machine = shop.rows["customer"][job["customer_id"]], shop.rows["machine"][job["machine_id"]]
    shown = {
        "shop": here["name"],
        "customer": customer["name"],
        "machine": machine["kind"],
        "exempt": customer["tax_exempt"],
        **({} if customer["language"] == "en" and shop.random.random() < 0.5 else {"language": customer["language"]}),
    }
    until = shop.today + timedelta(days=shop.random.choice((0, 1, 30)))
    document = offer_document(
        quote_id=quote["id"],
        revision=quote["revision"],
        kind=quote["kind"],
        shop_name=shown["shop"],
        customer_name=shown["customer"],
        machine=shown["machine"],
        book=parse(ShopPrices, quote["basis"]),
        lines=lines_of(shop, quote),
        discount=parse(Discount, quote["discount"]),
        exempt=shown["exempt"],
        valid_until=until,
        language=customer["language"],
    )
    return {
        "id": quote["id"],
        "valid_until": until.isoformat(),
        "digest": json_digest(document),
        "total_minor": document["total_minor"],
        "shown": shown,
        **maybe(shop, offered_on=shop.day()),
    }


def decided_lines(shop: SimulatedShop, quote: Row) -> Row:
    """Yes or no to each question; now and then to each line, as apps from before works ask."""
    lines = whose(shop, "quote_line", quote_id=quote["id"])
    by_line = shop.random.random() < 0.2
    asked = [line for line in lines if line["kind"] != "discount" and (by_line or not line["agreed"])]
    keys = {
        line["id"]: line["id"] if by_line or line["apart"] else line["belongs_to_id"] or line["id"] for line in asked
    }
    yes = {key for key in sorted(set(keys.values())) if shop.random.random() < 0.6}
    return {
        "accepted_ids": [line for line, key in keys.items() if key in yes],
        "declined_ids": [line for line, key in keys.items() if key not in yes],
    }


@generator
def decide_quote(shop: SimulatedShop) -> Args:
    quote = one(shop, whose(shop, "quote", state=("offered", "lapsed")))
    return quote and {
        "id": shop.mint(),
        "quote_id": quote["id"],
        "revision": quote["revision"],
        "how": shop.random.choice(("glass", "call", "in_person")),
        "decided_by_name": "Winnie Stroud",
        "decided_at": shop.stamp(),
        "zone": shop.zone,
        "digest": quote["offer_digest"],
        **decided_lines(shop, quote),
        **maybe(shop, number_called="555", conditions=words(shop), note=words(shop)),
        **maybe(shop, signature={"id": shop.mint(), "strokes": INK, "width": 320, "height": 120}),
    }


@generator
def withdraw_quote(shop: SimulatedShop) -> Args:
    states = ("offered", "lapsed") if shop.random.random() < 0.8 else ("draft",)
    return target(one(shop, whose(shop, "quote", state=states)))


@generator
def remake_pdf(shop: SimulatedShop) -> Args:
    return target(one(shop, whose(shop, "quote", state=("offered", "decided", "lapsed"))))


@generator
def send_approval_request(shop: SimulatedShop) -> Args:
    quote = one(shop, whose(shop, "quote", state="offered"))
    channel = shop.random.choice(("qr", "email", "sms"))
    addresses = {"qr": {}, "email": {"address": "w@stroud.example"}, "sms": {"address": "+1 402 555 0142"}}
    return quote and {
        "id": shop.mint(),
        "quote_id": quote["id"],
        "channel": channel,
        **addresses[channel],
        **maybe(shop, name="Winnie"),
    }


@generator
def revoke_approval_link(shop: SimulatedShop) -> Args:
    return target(one(shop, whose(shop, "approval_link", used_at=None)))


@generator
def answer_customer_question(shop: SimulatedShop) -> Args:
    return target(one(shop, shop.all("customer_question")))
