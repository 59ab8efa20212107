"""Taking apart and putting back."""

from tests.replay.generators.registry import Args, edit, enough, generator, maybe, one, target, whose, words
from tests.replay.generators.work import unused
from tests.replay.phone_replay import Row
from tests.replay.simulated_shop import SimulatedShop


def step_fields(shop: SimulatedShop, job_id: str) -> Row:
    behind = one(shop, whose(shop, "removal_step", job_id=job_id))
    return {
        "what": words(shop),
        "place": words(shop),
        "kind": shop.random.choice(("part", "cover", "belt", "guard", "fill", "bleed", "run_test")),
        "loosened": shop.random.random() < 0.3,
        "bag": shop.random.randrange(1, 30),
        "position": shop.random.randrange(20),
        "behind_id": behind and behind["id"],
    }


NO_TORQUE = {"torque": None, "torque_unit": ""}


def fastener_fields(shop: SimulatedShop) -> Row:
    torque = shop.random.choice((None, "9", "25.5"))
    return {
        "thread": shop.random.choice(("M6", "M8", "1/4-20")),
        "length": shop.random.choice(("20", "25", "3/4", "")),
        "grade": shop.random.choice(("8.8", "5", "")),
        "head": shop.random.choice(("hex", "nut", "")),
        "place": words(shop),
        "count": shop.random.randrange(1, 6),
        "hidden": shop.random.random() < 0.2,
        "one_use": shop.random.random() < 0.2,
        "thread_locker": shop.random.choice(("", "blue")),
        "torque": torque,
        "torque_unit": shop.random.choice(("N.m", "lbf.ft")) if torque else "",
        # Seldom: an open one keeps its job from testing.
        "torque_critical": shop.random.random() < 0.1,
    }


@generator
def record_removal(shop: SimulatedShop) -> Args:
    job = one(shop, shop.all("job"))
    if job is None or enough(shop, "removal_step", 8):
        return None
    fields = step_fields(shop, job["id"])
    fasteners = [
        {
            "id": shop.mint(),
            "thread": "M6",
            **maybe(shop, **fastener_fields(shop) | {"torque": None, "torque_unit": ""}),
        }
        for _ in range(shop.random.randrange(3))
    ]
    return {
        "id": shop.mint(),
        "job_id": job["id"],
        "taken_at": shop.stamp(),
        **maybe(shop, **fields, fasteners=fasteners),
    }


@generator
def edit_removal_step(shop: SimulatedShop) -> Args:
    step = one(shop, shop.all("removal_step"))
    return step and edit(shop, step, step_fields(shop, step["job_id"]))


@generator
def remove_removal_step(shop: SimulatedShop) -> Args:
    users = ("removal_step", "behind_id"), ("put_back_rule", "before_id"), ("put_back_rule", "after_id")
    return target(unused(shop, "removal_step", *users))


def moves_of(shop: SimulatedShop, step: Row, sign: int) -> list[Row]:
    return [
        {"id": shop.mint(), "fastener_id": each["id"], "kind": "back", "count": sign * each["count"]}
        for each in whose(shop, "fastener", step_id=step["id"])
    ]


@generator
def put_step_back(shop: SimulatedShop) -> Args:
    step = one(shop, shop.all("removal_step"))
    return step and {"id": step["id"], "back_at": shop.stamp(), **maybe(shop, moves=moves_of(shop, step, 1))}


@generator
def undo_put_back(shop: SimulatedShop) -> Args:
    step = one(shop, [row for row in shop.all("removal_step") if row["back_at"] is not None])
    return step and {"id": step["id"], "undone_at": shop.stamp(), **maybe(shop, moves=moves_of(shop, step, -1))}


@generator
def record_fastener(shop: SimulatedShop) -> Args:
    step = one(shop, shop.all("removal_step"))
    return step and {"id": shop.mint(), "step_id": step["id"], **fastener_fields(shop)}


@generator
def edit_fastener(shop: SimulatedShop) -> Args:
    return edit(shop, one(shop, shop.all("fastener")), fastener_fields(shop), [("torque", "torque_unit")])


@generator
def remove_fastener(shop: SimulatedShop) -> Args:
    return target(unused(shop, "fastener", ("fastener_move", "fastener_id"), ("fastener_move", "at_id")))


@generator
def record_fastener_move(shop: SimulatedShop) -> Args:
    fastener, at = one(shop, shop.all("fastener")), one(shop, shop.all("fastener"))
    torque = {"torque": "12.5", "torque_unit": "N.m", "tool": "Torque wrench"}
    return fastener and {
        "id": shop.mint(),
        "fastener_id": fastener["id"],
        "kind": shop.random.choice(("back", "new", "replaced", "scrapped", "spare", "tightened")),
        "count": shop.random.choice((1, 2, -1)),
        "moved_at": shop.stamp(),
        **maybe(shop, at_id=at and at["id"]),
        **shop.random.choice(({}, torque)),
    }


@generator
def add_put_back_rule(shop: SimulatedShop) -> Args:
    step = one(shop, shop.all("removal_step"))
    other = step and one(shop, [row for row in whose(shop, "removal_step", job_id=step["job_id"]) if row != step])
    if step is None or other is None:
        return None
    return {
        "id": shop.mint(),
        "job_id": other["job_id"],
        "before_id": other["id"],
        "after_id": step["id"],
        **maybe(shop, reason=words(shop)),
    }


@generator
def remove_put_back_rule(shop: SimulatedShop) -> Args:
    return target(one(shop, shop.all("put_back_rule")))
