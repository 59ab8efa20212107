"""Clocked hours and their corrections."""

from datetime import timedelta
from typing import Any

from tests.replay.generators.registry import MINUTES, Args, generator, maybe, one, shifted, whose, words
from tests.replay.phone_replay import Row
from tests.replay.simulated_shop import SimulatedShop

# Hours


def work_of(shop: SimulatedShop) -> Row:
    job = one(shop, shop.all("job"))
    kind = shop.random.choice(("repair", "diagnosis", "travel", "errand", "rework", "shop"))
    of_job = kind in ("repair", "diagnosis", "rework")
    if of_job and job is None:
        kind, of_job = "shop", False
    repaired = one(shop, shop.all("time_entry"))
    return {
        "kind": kind,
        "job_id": job["id"] if job and (of_job or kind in ("travel", "errand")) else None,
        "operation": shop.random.choice(("", "deck belt")) if of_job else "",
        "line_id": None,
        "cause": "torque" if kind == "rework" else None,
        "repairs_id": repaired["id"] if repaired and kind == "rework" and shop.random.random() < 0.5 else None,
    }


def my_entries(shop: SimulatedShop, /, **wanted: Any) -> list[Row]:
    return whose(shop, "time_entry", member_id=shop.me, **wanted)


@generator
def start_clock(shop: SimulatedShop) -> Args:
    running = [entry["id"] for entry in my_entries(shop, ended_at=None) if entry["state"] != "replaced"]
    return {
        "id": shop.mint(),
        "started_at": shop.stamp(timedelta(minutes=shop.random.choice(MINUTES))),
        "ends_ids": running if shop.random.random() < 0.7 else [],
        **work_of(shop),
    }


@generator
def stop_clock(shop: SimulatedShop) -> Args:
    entry = one(shop, my_entries(shop, ended_at=None))
    return entry and {"id": entry["id"], "ended_at": shop.stamp(timedelta(minutes=shop.random.choice((0, 0, 1, 5))))}


@generator
def add_entry(shop: SimulatedShop) -> Args:
    ends = timedelta(minutes=shop.random.randrange(2, 3000))
    begins = ends + timedelta(minutes=shop.random.randrange(1, 90))
    other = shop.actor is not shop.crew.mechanic and shop.random.random() < 0.3
    return {
        "id": shop.mint(),
        "started_at": shop.instant(begins),
        "ended_at": shop.instant(ends),
        "reason": words(shop),
        **({"member_id": str(shop.crew.mechanic.member_id)} if other else {}),
        **work_of(shop),
    }


def correctable(shop: SimulatedShop) -> Row | None:
    mine = shop.actor is shop.crew.mechanic or shop.random.random() < 0.7
    found = [entry for entry in shop.all("time_entry") if entry["state"] != "replaced"]
    return one(shop, [entry for entry in found if not mine or entry["member_id"] == shop.me])


@generator
def correct_entry(shop: SimulatedShop) -> Args:
    entry = correctable(shop)
    if entry is None or (entry["ended_at"] is None and shop.random.random() < 0.5):
        return None
    started, ended = entry["started_at"], entry["ended_at"]
    change = shop.random.choice(("work", "start", "end", "stamp"))
    if change == "start":
        started = shifted(started, -shop.random.randrange(1, 9))
    if change == "end" and ended is not None:
        ended = shifted(ended, -1)
    if change == "stamp" and entry["device_started_at"] is not None:
        started = entry["device_started_at"]
    return {
        "id": shop.mint(),
        "entry_id": entry["id"],
        "started_at": started,
        "ended_at": ended,
        "reason": words(shop),
        **work_of(shop),
    }


@generator
def drop_entry(shop: SimulatedShop) -> Args:
    entry = correctable(shop)
    return entry and {"id": entry["id"], "reason": words(shop)}


@generator
def settle_entries(shop: SimulatedShop) -> Args:
    disputed = [entry for entry in shop.all("time_entry") if entry["state"] == "disputed"]
    if shop.actor is shop.crew.mechanic:
        disputed = [entry for entry in disputed if entry["member_id"] == shop.me]
    entry = one(shop, disputed)
    if entry is None:
        return None
    if entry["anomaly"]:
        return {"id": entry["id"], "reason": words(shop)} if entry["anomaly"] != "ends_first" else None
    far = shop.instant(-timedelta(days=9))
    others = [
        other
        for other in shop.all("time_entry")
        if other["id"] != entry["id"]
        and other["member_id"] == entry["member_id"]
        and other["state"] != "replaced"
        and other["started_at"] < (entry["ended_at"] or far)
        and entry["started_at"] < (other["ended_at"] or far)
    ]
    other = one(shop, others)
    if other is None:
        return None
    if shop.random.random() < 0.5:
        return {"id": entry["id"], "other_id": other["id"], **maybe(shop, reason=words(shop))}
    at = shifted(max(entry["started_at"], other["started_at"]), 1)
    return {
        "id": entry["id"],
        "other_id": other["id"],
        "split": {"at": at, "id": shop.mint(), "other_id": shop.mint()},
        "reason": words(shop),
    }
