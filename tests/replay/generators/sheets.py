"""Sheets with their limits and entries."""

from tests.replay.generators.registry import Args, edit, enough, generator, maybe, one, target, words
from tests.replay.generators.work import unused
from tests.replay.phone_replay import Row
from tests.replay.simulated_shop import SimulatedShop


def sheet_fields(shop: SimulatedShop) -> Row:
    names = ("title", "kind", "make", "engine_make", "engine_model", "family", "notes")
    return {**{name: words(shop) for name in names}, "model": f"GT {shop.random.randrange(99)}", "archived": False}


@generator
def add_sheet(shop: SimulatedShop) -> Args:
    if enough(shop, "sheet", 4):
        return None
    fields = sheet_fields(shop)
    return {"id": shop.mint(), "title": fields["title"], "model": fields["model"], **maybe(shop, make=fields["make"])}


@generator
def edit_sheet(shop: SimulatedShop) -> Args:
    return edit(shop, one(shop, shop.all("sheet")), sheet_fields(shop))


@generator
def remove_sheet(shop: SimulatedShop) -> Args:
    return target(unused(shop, "sheet", ("limit", "sheet_id"), ("sheet_entry", "sheet_id")))


def origin(shop: SimulatedShop) -> Row:
    machine = one(shop, shop.all("machine"))
    return {"machine_id": machine["id"], "job_mark": "J-1001"} if machine and shop.random.random() < 0.5 else {}


def limit_fields(shop: SimulatedShop) -> Row:
    figure = f"0.{shop.random.randrange(100, 999)}"
    return {
        "what": words(shop),
        "nominal": figure,
        "tolerance": shop.random.choice(("0.008", "0.010")),
        "condition": words(shop),
        "manual": words(shop),
        "page": str(shop.random.randrange(99)),
        "critical": shop.random.random() < 0.5,
    }


@generator
def add_limit(shop: SimulatedShop) -> Args:
    sheet = None if enough(shop, "limit", 6) else one(shop, shop.all("sheet"))
    fields = {"quantity": "length", "unit": "in", **limit_fields(shop)}
    return sheet and {"id": shop.mint(), "sheet_id": sheet["id"], **fields, **origin(shop)}


@generator
def edit_limit(shop: SimulatedShop) -> Args:
    return edit(shop, one(shop, shop.all("limit")), limit_fields(shop))


@generator
def remove_limit(shop: SimulatedShop) -> Args:
    return target(one(shop, shop.all("limit")))


def entry_fields(shop: SimulatedShop, kind: str) -> Row:
    own: dict[str, Row] = {
        "fastener": {
            "thread": "1/4-20",
            "count": shop.random.randrange(1, 9),
            "torque": "7.5",
            "torque_unit": "lbf.ft",
            "one_use": shop.random.random() < 0.5,
        },
        "operation": {"hours": shop.random.choice(("0.5", "1.25"))},
        "service": {"hours": shop.random.choice(("25", "50")), "months": shop.random.choice((None, 12))},
        "order": {"first": "Belt", "second": shop.random.choice(("Cover", "Guard"))},
    }
    return {"words": words(shop), **own.get(kind, {})}


@generator
def add_sheet_entry(shop: SimulatedShop) -> Args:
    sheet = None if enough(shop, "sheet_entry", 8) else one(shop, shop.all("sheet"))
    kind = shop.random.choice(("fastener", "operation", "service", "note", "warning", "lesson", "order"))
    fields = {"kind": kind, **entry_fields(shop, kind)}
    return sheet and {"id": shop.mint(), "sheet_id": sheet["id"], **fields, **origin(shop)}


@generator
def edit_sheet_entry(shop: SimulatedShop) -> Args:
    entry = one(shop, shop.all("sheet_entry"))
    return entry and edit(shop, entry, entry_fields(shop, entry["kind"]))


@generator
def remove_sheet_entry(shop: SimulatedShop) -> Args:
    return target(one(shop, shop.all("sheet_entry")))
