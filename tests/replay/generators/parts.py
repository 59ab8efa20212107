"""Suppliers, the catalog, and parts that jobs need."""

from shopapi.accounts.rules import Permission
from shopapi.parts.rules.needs import PART_TRANSITIONS, PartState
from tests.replay.generators.registry import (
    Args,
    edit,
    enough,
    generator,
    maybe,
    one,
    position,
    target,
    whose,
    words,
)
from tests.replay.phone_replay import Row
from tests.replay.simulated_shop import SimulatedShop

NUMBERS = ("", "754-0461", "AM-1201", "22.4")


def supplier_fields(shop: SimulatedShop) -> Row:
    order_by = shop.random.choice(("mail", "message", "phone", "counter"))
    return {"name": words(shop), "phone": "402 555 0100", "order_by": order_by, "lead_days": 3, "note": words(shop)}


@generator
def add_supplier(shop: SimulatedShop) -> Args:
    if enough(shop, "supplier", 3):
        return None
    fields = supplier_fields(shop)
    return {"id": shop.mint(), "name": fields["name"], **maybe(shop, lead_days=2, order_by=fields["order_by"])}


@generator
def edit_supplier(shop: SimulatedShop) -> Args:
    lat, lon = position(shop)
    place = {"lat": lat, "lon": lon, "address": words(shop), "stop_minutes": shop.random.choice((None, 10))}
    return edit(shop, one(shop, shop.all("supplier")), supplier_fields(shop) | place, [("lat", "lon")])


def part_fields(shop: SimulatedShop) -> Row:
    """What a part in the catalog and one that a job needs have in common."""
    supplier = one(shop, shop.all("supplier"))
    return {
        "supplier_id": supplier["id"] if supplier else None,
        "number": shop.random.choice(NUMBERS),
        "description": words(shop),
        "superseded_by": shop.random.choice(("", "754-0999")),
        "price_minor": shop.random.choice((None, 1999)),
        "core_minor": shop.random.choice((0, 500)),
        "note": words(shop),
        **({"cost_minor": shop.random.choice((None, 0, 1234))} if shop.actor.may(Permission.SEE_COST) else {}),
    }


def some_of(shop: SimulatedShop, fields: Row) -> Row:
    """The description and some of the other fields."""
    return {"description": fields["description"], **maybe(shop, **fields)}


@generator
def add_catalog_part(shop: SimulatedShop) -> Args:
    if enough(shop, "catalog_part", 3):
        return None
    return {"id": shop.mint(), **some_of(shop, part_fields(shop)), **maybe(shop, minimum="2", bin="B 4")}


@generator
def edit_catalog_part(shop: SimulatedShop) -> Args:
    fields = part_fields(shop) | {"minimum": "1.5", "bin": words(shop)}
    return edit(shop, one(shop, shop.all("catalog_part")), fields)


@generator
def add_part_need(shop: SimulatedShop) -> Args:
    job = one(shop, shop.all("job"))
    if job is None or enough(shop, "part_need", 6):
        return None
    finding = one(shop, whose(shop, "finding", job_id=job["id"]))
    known = one(shop, shop.all("catalog_part"))
    more = {"finding_id": finding["id"]} if finding else {}
    more |= {"catalog_part_id": known["id"]} if known else {}
    return {
        "id": shop.mint(),
        "job_id": job["id"],
        **some_of(shop, part_fields(shop)),
        **maybe(shop, quantity="2", agreed_minor=1500, line_id=shop.mint(), book_page="14", **more),
    }


@generator
def edit_part_need(shop: SimulatedShop) -> Args:
    return edit(shop, one(shop, shop.all("part_need")), part_fields(shop) | {"quantity": "1.5", "book_page": "12"})


@generator
def move_part_need(shop: SimulatedShop) -> Args:
    need = one(shop, shop.all("part_need"))
    if need is None:
        return None
    allowed = sorted(PART_TRANSITIONS[PartState(need["state"])] - {PartState.FITTED})
    # Now and then one that the table refuses, which the phone has to refuse too.
    states = allowed if shop.random.random() < 0.9 else [state for state in PartState if state != PartState.FITTED]
    return {"id": need["id"], "state": shop.random.choice(states)}


@generator
def fit_part(shop: SimulatedShop) -> Args:
    need = one(shop, shop.all("part_need"))
    return need and {"id": need["id"], "fitted_at": shop.stamp()}


@generator
def remove_part_need(shop: SimulatedShop) -> Args:
    return target(one(shop, whose(shop, "part_need", state=("wanted", "cancelled"))))


@generator
def record_part_search(shop: SimulatedShop) -> Args:
    need = one(shop, shop.all("part_need"))
    return need and {
        "id": shop.mint(),
        "need_id": need["id"],
        "asked": words(shop),
        "asked_at": shop.stamp(),
        "answer": words(shop),
        **maybe(shop, alternative=words(shop)),
    }
