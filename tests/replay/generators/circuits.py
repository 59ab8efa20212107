"""Start and kill circuits of machines, and what is seen on them."""

from shopapi.bench.rules.circuit import Observation
from shopapi.bench.rules.default_circuits import default_circuit
from shopapi.core.schema import parse, to_json
from tests.replay.generators.registry import Args, edit, generator, maybe, one, target, words
from tests.replay.generators.work import unused
from tests.replay.phone_replay import Row
from tests.replay.simulated_shop import SimulatedShop


def circuit_fields(shop: SimulatedShop) -> Row:
    wiring = shop.random.choice((default_circuit("geared"), default_circuit("zero_turn")))
    return {"name": words(shop), "wiring": to_json(wiring)}


@generator
def add_circuit(shop: SimulatedShop) -> Args:
    machine = one(shop, shop.all("machine"))
    return machine and {"id": shop.mint(), "machine_id": machine["id"], **circuit_fields(shop)}


@generator
def edit_circuit(shop: SimulatedShop) -> Args:
    return edit(shop, one(shop, shop.all("circuit")), circuit_fields(shop))


@generator
def remove_circuit(shop: SimulatedShop) -> Args:
    return target(unused(shop, "circuit", ("circuit_observation", "circuit_id")))


@generator
def record_circuit_observation(shop: SimulatedShop) -> Args:
    circuit = one(shop, shop.all("circuit"))
    job = circuit and one(shop, [row for row in shop.all("job") if row["machine_id"] == circuit["machine_id"]])
    if not circuit or not job:
        return None
    tries = shop.random.randrange(1, 6)
    seen = {"check": shop.random.choice(("crank", "run")), "tries": tries, "yes": shop.random.randrange(tries + 1)}
    more = maybe(shop, wet=True, heat="hot", controls={"pto": True}, minutes=3)
    return {
        "id": shop.mint(),
        "job_id": job["id"],
        "circuit_id": circuit["id"],
        "observation": to_json(parse(Observation, seen | more)),
    }


@generator
def withdraw_circuit_observation(shop: SimulatedShop) -> Args:
    seen = one(shop, [row for row in shop.all("circuit_observation") if row["observation"]])
    return seen and {
        "id": shop.mint(),
        **{name: seen[name] for name in ("job_id", "circuit_id")},
        "withdraws_id": seen["id"],
    }
