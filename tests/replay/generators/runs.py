"""Runs, what happens on them, plans and printouts."""

from datetime import timedelta

from shopapi.quotes.rules import json_digest
from tests.factories.work import INK
from tests.replay.generators.hours import my_entries
from tests.replay.generators.registry import Args, generator, maybe, one, target, whose, words
from tests.replay.phone_replay import Row
from tests.replay.simulated_shop import SimulatedShop

# Runs


@generator
def open_run(shop: SimulatedShop) -> Args:
    day = shop.day(shop.random.choice((0, 0, 0, 1)))
    busy = {run["rig_id"] for run in shop.all("run") if run["day"] == day and run["state"] not in ("done", "cancelled")}
    rigs = [rig for rig in shop.all("rig") if rig["active"] and rig["out_at"] is None and rig["id"] not in busy]
    rig = one(shop, rigs)
    return rig and {"id": shop.mint(), "rig_id": rig["id"], "day": day}


def usual(shop: SimulatedShop, *states: str) -> tuple[str, ...]:
    """These states, or now and then one in which the command is refused."""
    return states if shop.random.random() < 0.9 else ("driving", "done")


@generator
def lock_run(shop: SimulatedShop) -> Args:
    return target(one(shop, whose(shop, "run", state=usual(shop, "planned", "locked"))))


@generator
def unlock_run(shop: SimulatedShop) -> Args:
    return target(one(shop, whose(shop, "run", state=usual(shop, "locked", "planned"))))


@generator
def cancel_run(shop: SimulatedShop) -> Args:
    return target(one(shop, whose(shop, "run", state=usual(shop, "planned", "locked", "cancelled"))))


def stamped(shop: SimulatedShop, row: Row | None) -> Args:
    ago = timedelta(minutes=shop.random.choice((0, 0, 1, 5)))
    return row and {"id": row["id"], "at": shop.stamp(ago)}


def with_stops(shop: SimulatedShop, *states: str) -> Row | None:
    """A run in one of these states, one with stops rather than one without."""
    runs = whose(shop, "run", state=states)
    used = {stop["run_id"] for stop in shop.all("stop")}
    return one(shop, [run for run in runs if run["id"] in used]) or one(shop, runs)


@generator
def start_run(shop: SimulatedShop) -> Args:
    states = ("planned", "locked", "driving") if shop.random.random() < 0.9 else ("done", "cancelled")
    stamp = stamped(shop, with_stops(shop, *states))
    return stamp and {**stamp, "clock_id": shop.mint() if shop.random.random() < 0.7 else None}


def my_travel(shop: SimulatedShop) -> str | None:
    entry = one(shop, my_entries(shop, kind="travel", ended_at=None))
    return entry["id"] if entry and shop.random.random() < 0.8 else None


@generator
def end_run(shop: SimulatedShop) -> Args:
    states = ("driving",) if shop.random.random() < 0.8 else ("planned", "locked", "done")
    stamp = stamped(shop, with_stops(shop, *states))
    return stamp and {**stamp, "clock_id": my_travel(shop)}


@generator
def arrive_stop(shop: SimulatedShop) -> Args:
    states = ("driving",) if shop.random.random() < 0.7 else ("asked", "planned", "dropped", "arrived")
    stamp = stamped(shop, one(shop, whose(shop, "stop", state=states)))
    run = one(shop, whose(shop, "run", state="driving"))
    return stamp and {**stamp, "run_id": run and run["id"], "clock_id": my_travel(shop)}


@generator
def leave_stop(shop: SimulatedShop) -> Args:
    states = ("arrived",) if shop.random.random() < 0.8 else ("asked", "planned", "driving", "left")
    stamp = stamped(shop, one(shop, whose(shop, "stop", state=states)))
    return stamp and {**stamp, "clock_id": shop.mint() if shop.random.random() < 0.7 else None}


@generator
def take_back_stamp(shop: SimulatedShop) -> Args:
    stop = one(shop, whose(shop, "stop", state=("arrived", "left", "failed")))
    return stop and {"id": stop["id"], "stamp": stop["state"]}


@generator
def fail_stop(shop: SimulatedShop) -> Args:
    states = ("driving", "arrived") if shop.random.random() < 0.7 else ("asked", "planned", "failed", "dropped")
    stamp = stamped(shop, one(shop, whose(shop, "stop", state=states)))
    return stamp and {
        **stamp,
        "reason": shop.random.choice(("nobody_home", "gate_locked", "other")),
        "note": words(shop),
        "again_id": shop.mint() if shop.random.random() < 0.6 else None,
        "plan_id": shop.mint() if shop.random.random() < 0.8 else None,
    }


@generator
def hand_over(shop: SimulatedShop) -> Args:
    stops = [row for row in shop.all("stop") if row["job_id"]]
    stop = one(shop, [row for row in stops if row["state"] in ("arrived", "left")] or stops)
    if stop is None:
        return None
    meter = {"id": shop.mint(), "hours": f"{shop.random.randrange(900)}.5", "new_segment": shop.random.random() < 0.2}
    args = {
        "id": shop.mint(),
        "stop_id": stop["id"],
        # Whole seconds, as the phone does: a time has only one spelling then.
        "at": shop.stamp()[:19] + "Z",
        "condition": [{"part": "deck", "state": "worn", "note": "Rust"}] if shop.random.random() < 0.5 else [],
        "meter": meter if shop.random.random() < 0.6 else None,
        "keys": "One",
        "fuel": shop.random.choice(("half", "full", "unknown")),
        "accessories": words(shop),
        "runs": shop.random.choice((None, True, False)),
        "made_safe": ["Key out"],
        "as_left": [],
        "acknowledged": [words(shop)],
        "amount_due_minor": shop.random.choice((None, 1250)),
        "signer_name": "",
    }
    if shop.random.random() < 0.5:
        return {**args, "digest": None, "signature": None}
    args["signer_name"] = "Winnie Stroud"
    # As the phone does it: the digest of the JSON as sent.
    ink = {"id": shop.mint(), "strokes": INK, "width": 320, "height": 120}
    return {**args, "digest": json_digest(args), "signature": ink}


# Plans and printouts


@generator
def request_plan(shop: SimulatedShop) -> Args:
    from_now = shop.random.random() < 0.6
    days = [shop.day()] if from_now else sorted({shop.day(1), shop.day(shop.random.randrange(1, 4))})
    return {"id": shop.mint(), "days": days, "seed": shop.random.randrange(9), "seconds": 5, "from_now": from_now}


@generator
def cancel_plan(shop: SimulatedShop) -> Args:
    return target(one(shop, whose(shop, "plan_request", state=("waiting", "running"))))


@generator
def take_plan(shop: SimulatedShop) -> Args:
    return target(one(shop, whose(shop, "plan_request", state="done", taken_at=None)))


@generator
def print_run(shop: SimulatedShop) -> Args:
    run = one(shop, shop.all("run"))
    return run and {"id": shop.mint(), "run_id": run["id"]}


@generator
def print_tags(shop: SimulatedShop) -> Args:
    ids = [row["id"] for row in shop.all("machine")]
    count = shop.random.randrange(1, 4)
    return {"id": shop.mint(), "machine_ids": shop.random.sample(ids, min(count, len(ids)))} if ids else None


@generator
def print_hand_over(shop: SimulatedShop) -> Args:
    over = one(shop, [row for row in shop.all("hand_over") if row["signature_id"]])
    return over and {"id": shop.mint(), "hand_over_id": over["id"]}


@generator
def print_ticket(shop: SimulatedShop) -> Args:
    job = one(shop, shop.all("job"))
    return job and {"id": shop.mint(), "job_id": job["id"]}


@generator
def send_ticket(shop: SimulatedShop) -> Args:
    job = one(shop, shop.all("job"))
    channel, address = shop.random.choice((("email", "w@stroud.example"), ("sms", "+1 402 555 0142")))
    return job and {
        "id": shop.mint(),
        "job_id": job["id"],
        "channel": channel,
        "address": address,
        **maybe(shop, name="Winnie"),
    }
