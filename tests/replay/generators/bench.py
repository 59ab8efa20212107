"""The bench: check lists and checks."""

from tests.replay.generators.registry import Args, edit, enough, generator, maybe, one, target, words
from tests.replay.phone_replay import Row
from tests.replay.simulated_shop import SimulatedShop


def items(shop: SimulatedShop) -> list[Row]:
    return [
        {"id": shop.mint(), "words": words(shop), "critical": shop.random.random() < 0.3}
        for _ in range(shop.random.randrange(1, 4))
    ]


def list_fields(shop: SimulatedShop) -> Row:
    return {
        "name": words(shop),
        "machine_kind": shop.random.choice(("", "mower")),
        "purpose": words(shop),
        "items": items(shop),
    }


@generator
def add_check_list(shop: SimulatedShop) -> Args:
    if enough(shop, "check_list", 3):
        return None
    fields = list_fields(shop)
    return {"id": shop.mint(), "name": fields["name"], **maybe(shop, items=fields["items"], purpose=fields["purpose"])}


@generator
def edit_check_list(shop: SimulatedShop) -> Args:
    return edit(shop, one(shop, shop.all("check_list")), list_fields(shop))


@generator
def remove_check_list(shop: SimulatedShop) -> Args:
    return target(one(shop, shop.all("check_list")))


@generator
def record_check(shop: SimulatedShop) -> Args:
    job, found = one(shop, shop.all("job")), one(shop, shop.all("check_list"))
    item = one(shop, found["items"]) if found else None
    finding = one(shop, shop.all("finding"))
    return job and {
        "id": shop.mint(),
        "job_id": job["id"],
        "item_id": item["id"] if item else shop.mint(),
        "item_words": item["words"] if item else words(shop),
        "result": shop.random.choice(("fine", "worn", "bad", "not_looked")),
        "checked_at": shop.stamp(),
        **maybe(shop, words=words(shop), critical=True, **({"finding_id": finding["id"]} if finding else {})),
    }
