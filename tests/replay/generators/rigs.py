"""The yard, rigs, stops as they are asked for."""

from datetime import datetime, timedelta

from tests.replay.generators.registry import (
    MINUTES,
    Args,
    edit,
    enough,
    generator,
    maybe,
    one,
    position,
    shifted,
    target,
    whose,
    words,
)
from tests.replay.phone_replay import Row
from tests.replay.simulated_shop import SimulatedShop

# Rigs and the yard


def yard_fields(shop: SimulatedShop) -> Row:
    lat, lon = position(shop)
    return {
        "lat": lat,
        "lon": lon,
        "opens": "06:30",
        "closes": "19:00",
        "loading_minutes": shop.random.randrange(30),
        "pickup_minutes": shop.random.randrange(60),
        "return_minutes": shop.random.randrange(60),
        "visit_minutes": shop.random.randrange(90),
        "speed_kmh": shop.random.choice((None, 60)),
        "trailer_percent": shop.random.randrange(60),
        "turn_in_minutes": shop.random.randrange(9),
        "tongue_low_permille": shop.random.randrange(90, 110),
        "tongue_high_permille": shop.random.randrange(120, 160),
        "least_tie_downs": shop.random.randrange(2, 6),
    }


@generator
def set_up_yard(shop: SimulatedShop) -> Args:
    if shop.all("yard"):
        return None
    fields = yard_fields(shop)
    place = {"lat": fields.pop("lat"), "lon": fields.pop("lon")}
    return {"id": shop.mint(), **(place if shop.random.random() < 0.9 else {}), **maybe(shop, **fields)}


@generator
def edit_yard(shop: SimulatedShop) -> Args:
    return edit(shop, one(shop, shop.all("yard")), yard_fields(shop), [("lat", "lon")])


def rig_fields(shop: SimulatedShop) -> Row:
    lat, lon = position(shop)
    n = shop.random.randrange(100, 2000)
    members = [row["id"] for row in shop.all("member")]
    return {
        "name": f"Rig {n}",
        "driver_id": shop.random.choice([None, shop.me, *members]),
        "crew": shop.random.randrange(1, 4),
        "payload_kg": n,
        "payload_typed": f"{n} kg",
        "deck": {"length_cm": 500, "width_cm": 200, "height_cm": 50, "slots": 2, "lanes": 1},
        "trailer": shop.random.choice((None, {**NO_TRAILER, "empty_kg": n})),
        "truck": shop.random.choice((None, {**NO_TRUCK, "ready_kg": n, "typed": {"ready_kg": f"{n} kg"}})),
        "winch": shop.random.random() < 0.5,
        "ramp_length_cm": 240,
        "ramp_length_typed": "240 cm",
        "ramp_full_width": shop.random.random() < 0.5,
        "straps": shop.random.randrange(12),
        "strap_wll_kg": n,
        "strap_wll_typed": f"{n} kg",
        "straps_cross": shop.random.random() < 0.5,
        "home_lat": lat,
        "home_lon": lon,
        "shift_opens": "06:00",
        "shift_closes": "16:00",
        "breaks": [{"opens": "11:30", "closes": "12:30", "minutes": 30}],
        "active": shop.random.random() < 0.95,
    }


NO_TRAILER = {
    "empty_kg": None,
    "tongue_kg": None,
    "axle_cm": None,
    "deck_cm": None,
    "axles": 1,
    "track_cm": None,
    "gvwr_kg": None,
    "gawr_kg": None,
    "tires_kg": None,
    "coupler_kg": None,
}
NO_TRUCK = {
    "ready_kg": None,
    "gvwr_kg": None,
    "gcwr_kg": None,
    "hitch_kg": None,
    "hitch_tongue_kg": None,
    "ball_kg": None,
    "rear_ready_kg": None,
    "rear_gawr_kg": None,
    "wheelbase_cm": None,
    "overhang_cm": None,
}
RIG_TOGETHER = [
    ("payload_kg", "payload_typed"),
    ("ramp_length_cm", "ramp_length_typed"),
    ("strap_wll_kg", "strap_wll_typed"),
    ("home_lat", "home_lon"),
]


@generator
def add_rig(shop: SimulatedShop) -> Args:
    if enough(shop, "rig", 4):
        return None
    fields = rig_fields(shop)
    home = {name: fields.pop(name) for name in ("home_lat", "home_lon")}
    name, payload = fields.pop("name"), fields.pop("payload_kg")
    typed = {name: fields.pop(name) for name in ("payload_typed", "ramp_length_typed", "strap_wll_typed")}
    assert typed
    return {
        "id": shop.mint(),
        "name": name,
        "payload_kg": payload,
        "driver_id": fields.pop("driver_id"),
        **(home if shop.random.random() < 0.5 else {}),
        **maybe(shop, **fields),
    }


@generator
def edit_rig(shop: SimulatedShop) -> Args:
    return edit(shop, one(shop, shop.all("rig")), rig_fields(shop), RIG_TOGETHER)


@generator
def report_breakdown(shop: SimulatedShop) -> Args:
    aboard = {stop["run_id"] for stop in whose(shop, "stop", state="left", kind="pickup")}
    under_way = [run for run in whose(shop, "run", state=("planned", "locked", "driving")) if run["day"] == shop.day()]
    loaded = [run["rig_id"] for run in under_way if run["id"] in aboard and run["state"] == "driving"]
    wanted = loaded or [run["rig_id"] for run in under_way] or [rig["id"] for rig in shop.all("rig")]
    lat, lon = position(shop)
    return (
        {
            "id": shop.random.choice(wanted),
            "at": shop.stamp(timedelta(minutes=shop.random.choice(MINUTES))),
            "note": shop.random.choice(("", "Flat tire")),
            **({"lat": lat, "lon": lon, "place": "By the mill"} if shop.random.random() < 0.5 else {}),
            "plan_id": shop.mint() if shop.random.random() < 0.5 else None,
        }
        if wanted
        else None
    )


@generator
def repair_rig(shop: SimulatedShop) -> Args:
    return target(one(shop, [rig for rig in shop.all("rig") if rig["out_at"] is not None]))


# Stops


def stop_fields(shop: SimulatedShop, job: Row) -> Row:
    lat, lon = position(shop)
    site = one(shop, whose(shop, "site", customer_id=job["customer_id"]))
    opens = moment_on(shop, 1, 9)
    return {
        **({"site_id": site["id"]} if site else {}),
        "lat": lat,
        "lon": lon,
        "place": words(shop),
        "windows": [{"opens": opens, "closes": shifted(opens, 90)}],
        "service_minutes": shop.random.randrange(1, 90),
        "needs": shop.random.choice(([], ["winch"], ["ramp", "two_people"])),
        "priority": shop.random.choice(("usual", "soon", "first")),
        "earliest_on": shop.day(shop.random.randrange(2)),
        "promised_on": shop.day(shop.random.randrange(2, 5)),
        "wait_until": shop.day(shop.random.randrange(5, 9)),
        "by_daylight": shop.random.random() < 0.5,
        "notes": words(shop),
    }


def moment_on(shop: SimulatedShop, days: int, hour: int) -> str:
    at = datetime.combine(shop.today + timedelta(days=days), datetime.min.time()) + timedelta(hours=hour)
    return at.isoformat() + "Z"


@generator
def ask_stop(shop: SimulatedShop) -> Args:
    sites = {site["customer_id"] for site in shop.all("site")}
    job = one(shop, [job for job in shop.all("job") if job["site_id"] or job["customer_id"] in sites])
    if job is None:
        return None
    fields = stop_fields(shop, job)
    site = {} if job["site_id"] else {"site_id": fields["site_id"]}
    place = {name: fields.pop(name) for name in ("lat", "lon", "place")}
    return {
        "id": shop.mint(),
        "job_id": job["id"],
        "kind": shop.random.choice(("pickup", "pickup", "return", "visit")),
        **(place if shop.random.random() < 0.2 else {}),
        **maybe(shop, **fields),
        **site,
        "plan_id": shop.mint() if shop.random.random() < 0.3 else None,
    }


@generator
def ask_urgent_stop(shop: SimulatedShop) -> Args:
    job = one(shop, [row for row in shop.all("job") if row["site_id"]])
    return job and {
        "id": shop.mint(),
        "job_id": job["id"],
        "kind": shop.random.choice(("pickup", "return", "visit")),
        **maybe(shop, notes=words(shop)),
        "plan_id": shop.mint() if shop.random.random() < 0.5 else None,
    }


@generator
def ask_supplier_stop(shop: SimulatedShop) -> Args:
    supplier = one(shop, shop.all("supplier"))
    return supplier and {
        "id": shop.mint(),
        "supplier_id": supplier["id"],
        **maybe(shop, promised_on=shop.day(shop.random.randrange(2, 5)), notes=words(shop)),
    }


AHEAD = ("asked", "planned", "driving")


@generator
def edit_stop(shop: SimulatedShop) -> Args:
    stop = one(shop, whose(shop, "stop", state=AHEAD))
    if stop is None:
        return None
    fields = stop_fields(shop, shop.rows["job"][stop["job_id"]] if stop["job_id"] else {"customer_id": None})
    return edit(shop, stop, fields, [("lat", "lon")])


@generator
def drop_stop(shop: SimulatedShop) -> Args:
    stop = one(shop, whose(shop, "stop", state=(*AHEAD, "dropped")))
    return stop and {"id": stop["id"], "reason": words(shop)}


@generator
def restore_stop(shop: SimulatedShop) -> Args:
    return target(one(shop, whose(shop, "stop", state="dropped")))


@generator
def pin_stop(shop: SimulatedShop) -> Args:
    stop, rig = one(shop, whose(shop, "stop", state=AHEAD)), one(shop, shop.all("rig"))
    after = one(shop, whose(shop, "stop", state=AHEAD))
    return stop and {
        "id": stop["id"],
        "rig_id": rig["id"] if rig and shop.random.random() < 0.6 else None,
        "at": moment_on(shop, 1, 10) if shop.random.random() < 0.5 else None,
        "after_id": after["id"] if after and after["id"] != stop["id"] and shop.random.random() < 0.3 else None,
    }


@generator
def move_stop(shop: SimulatedShop) -> Args:
    stop, run = one(shop, whose(shop, "stop", state=AHEAD)), one(shop, whose(shop, "run", state=("planned", "driving")))
    if stop is None:
        return None
    if run is None or shop.random.random() < 0.15:
        return {"id": stop["id"], "run_id": None, "trip": 0, "position": 0}
    trip = shop.random.choice((0, 0, 0, 1))
    return {"id": stop["id"], "run_id": run["id"], "trip": trip, "position": shop.random.randrange(4)}


@generator
def tell_arrival(shop: SimulatedShop) -> Args:
    stop = one(shop, [row for row in whose(shop, "stop", state=AHEAD) if row["job_id"]])
    opens = moment_on(shop, 1, 9)
    customer = stop and shop.rows["customer"][shop.rows["job"][stop["job_id"]]["customer_id"]]
    known = {"by_hand": True, "email": customer and customer["email"], "sms": customer and customer["phone"]}
    channel = shop.random.choice([name for name, address in known.items() if address])
    return stop and {
        "id": stop["id"],
        "opens": opens,
        "closes": shifted(opens, 60),
        "channel": channel,
        "notice_id": None if channel == "by_hand" else shop.mint(),
    }
