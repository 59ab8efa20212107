"""Cautions read on a job, and tests before it is released."""

from tests.replay.generators.registry import Args, generator, one
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
