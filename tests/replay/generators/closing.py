"""Closed periods, long before the days of everything else."""

from tests.replay.generators.registry import Args, generator, maybe, words
from tests.replay.simulated_shop import SimulatedShop


@generator
def close_period(shop: SimulatedShop) -> Args:
    days = shop.random.randint(300, 400)
    counted = {"method": "cash", "expected_minor": 12000, "counted_minor": shop.random.randrange(12000)}
    return {"id": shop.mint(), "closed_through": shop.day(-days), **maybe(shop, note=words(shop), counted=[counted])}
