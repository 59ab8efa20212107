"""Cautions read on a job, and tests before it is released."""

from tests.replay.generators.registry import Args, generator, maybe, one, words
from tests.replay.simulated_shop import SimulatedShop


@generator
def acknowledge_caution(shop: SimulatedShop) -> Args:
    job = one(shop, shop.all("job"))
    return job and {
        "id": shop.mint(),
        "job_id": job["id"],
        "code": shop.random.choice(("raised_machine", "fuel", "springs")),
        "seen_at": shop.stamp(),
    }


@generator
def record_run_test(shop: SimulatedShop) -> Args:
    job = one(shop, shop.all("job"))
    measured = {"kind": "charge_voltage", "value": "14.2", "unit": "V"}
    counted = {"kind": "starts", "tries": 12, "good": shop.random.randrange(13)}
    row = {"kind": "interlock", "item": "start_pto_on", "expected": "no_crank", "seen": "no_crank"}
    return job and {
        "id": shop.mint(),
        "job_id": job["id"],
        "outcome": shop.random.choice(("passed", "failed", "not_done")),
        "tested_at": shop.stamp(),
        **shop.random.choice((measured, counted, row, {"kind": "leaks"})),
        **maybe(shop, words=words(shop)),
    }
