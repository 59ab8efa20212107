"""The bench: check lists and checks, gauges and readings."""

from tests.replay.generators.registry import Args, edit, enough, generator, maybe, one, target, whose, words
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


SIZES = ("0.19", "0.25", "0.29", "0.31", "0.33")


def gauge_fields(shop: SimulatedShop) -> Row:
    return {"name": words(shop), "notes": words(shop), "archived": shop.random.random() < 0.2}


@generator
def add_gauge(shop: SimulatedShop) -> Args:
    if enough(shop, "gauge", 3):
        return None
    return {
        "id": shop.mint(),
        "name": words(shop),
        "quantity": "length",
        "unit": shop.random.choice(("mm", "in")),
        "uncertainty": shop.random.choice(("0.02", "0.0005")),
        **maybe(shop, resolution="0.01", calibrated_on=shop.day(-3)),
    }


@generator
def edit_gauge(shop: SimulatedShop) -> Args:
    return edit(shop, one(shop, shop.all("gauge")), gauge_fields(shop))


@generator
def record_reading(shop: SimulatedShop) -> Args:
    job, gauge = one(shop, shop.all("job")), one(shop, shop.all("gauge"))
    if job is None:
        return None
    earlier = one(shop, whose(shop, "reading", job_id=job["id"]))
    copied = gauge and {
        "gauge_id": gauge["id"],
        **{name: gauge[name] for name in ("name", "kind", "unit", "resolution", "uncertainty", "calibrated_on")},
    }
    limit = {
        "what": "Air gap",
        "quantity": "length",
        "unit": "mm",
        "nominal": "",
        "tolerance": "",
        "low": "0.20",
        "high": shop.random.choice(("", "0.30")),
        "condition": "",
        "manual": "",
        "page": "",
        "critical": False,
        "limit_id": None,
        "version": 0,
    }
    bladed = shop.random.random() < 0.3
    value = {"goes": "0.25", **maybe(shop, stops="0.29")} if bladed else {"value": shop.random.choice(SIZES)}
    return {
        "id": shop.mint(),
        "job_id": job["id"],
        "what": "Air gap",
        "unit": shop.random.choice(("mm", "mm", "in")),
        "taken_at": shop.stamp(),
        **value,
        **maybe(shop, limit=limit, words=words(shop), second_method=True, **({"gauge": copied} if copied else {})),
        **(maybe(shop, repeat_of_id=earlier["id"]) if earlier else {}),
        **({"corrects_id": earlier["id"]} if earlier and shop.random.random() < 0.2 else {}),
    }
