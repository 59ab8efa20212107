"""The stock: places, moves, counts, parts fitted from a place."""

from tests.replay.generators.registry import Args, edit, enough, generator, maybe, one, words
from tests.replay.phone_replay import Row
from tests.replay.simulated_shop import SimulatedShop

QUANTITIES = ("1", "2", "0.5", "3.25")


def place_fields(shop: SimulatedShop) -> Row:
    return {"name": words(shop), "kind": shop.random.choice(("shelf", "truck"))}


def part_and_place(shop: SimulatedShop) -> Row | None:
    part, place = one(shop, shop.all("catalog_part")), one(shop, shop.all("stock_place"))
    return {"catalog_part_id": part["id"], "place_id": place["id"]} if part and place else None


@generator
def add_stock_place(shop: SimulatedShop) -> Args:
    if enough(shop, "stock_place", 3):
        return None
    fields = place_fields(shop)
    return {"id": shop.mint(), "name": fields["name"], **maybe(shop, kind=fields["kind"])}


@generator
def edit_stock_place(shop: SimulatedShop) -> Args:
    fields = place_fields(shop) | {"archived": shop.random.random() < 0.2}
    return edit(shop, one(shop, shop.all("stock_place")), fields)


@generator
def record_stock_move(shop: SimulatedShop) -> Args:
    at = part_and_place(shop)
    sign = shop.random.choice(("", "-"))
    return at and {
        "id": shop.mint(),
        **at,
        "quantity": sign + shop.random.choice(QUANTITIES),
        "reason": shop.random.choice(("fitted", "written_off") if sign else ("fitted", "arrived")),
        "moved_at": shop.stamp(),
        **maybe(shop, note=words(shop)),
    }


@generator
def count_stock(shop: SimulatedShop) -> Args:
    at = part_and_place(shop)
    counted = shop.random.choice(("0", *QUANTITIES))
    return at and {"id": shop.mint(), **at, "counted": counted, "counted_at": shop.stamp()}


@generator
def transfer_stock(shop: SimulatedShop) -> Args:
    at, other = part_and_place(shop), one(shop, shop.all("stock_place"))
    if at is None or other is None or other["id"] == at["place_id"]:
        return None
    return {
        "id": shop.mint(),
        "arriving_id": shop.mint(),
        "catalog_part_id": at["catalog_part_id"],
        "from_place_id": at["place_id"],
        "to_place_id": other["id"],
        "quantity": shop.random.choice(QUANTITIES),
        "moved_at": shop.stamp(),
        **maybe(shop, note=words(shop)),
    }


@generator
def fit_from_stock(shop: SimulatedShop) -> Args:
    at, need = part_and_place(shop), one(shop, shop.all("part_need"))
    if at is None or need is None:
        return None
    quantity = shop.random.choice(QUANTITIES)
    return {"id": shop.mint(), "need_id": need["id"], **at, "quantity": quantity, "fitted_at": shop.stamp()}


@generator
def print_stock_sheet(shop: SimulatedShop) -> Args:
    place = one(shop, shop.all("stock_place"))
    return place and {"id": shop.mint(), "kind": shop.random.choice(("count", "labels")), "place_id": place["id"]}
