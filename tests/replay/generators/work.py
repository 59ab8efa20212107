"""Customers, machines and jobs."""

from typing import Any

from tests.replay.generators.registry import Args, edit, enough, generator, maybe, one, position, target, whose, words
from tests.replay.phone_replay import Row
from tests.replay.simulated_shop import SimulatedShop

# Customers and machines


def customer_fields(shop: SimulatedShop) -> Row:
    n = shop.random.randrange(1000)
    return {
        "name": f"Customer {n}",
        "person": words(shop),
        "phone": f"(555) 014-{n:04}",
        "second_phone": f"(555) 015-{n:04}",
        "email": f"c{n}@stroud.example",
        "contact_by": shop.random.choice(("", "call", "text", "email")),
        "address": words(shop),
        "country": shop.random.choice(("", "CA")),
        "notes": words(shop),
        "tax_exempt": shop.random.random() < 0.3,
        "exempt_reason": words(shop),
        "language": shop.random.choice(("en", "es")),
    }


@generator
def add_customer(shop: SimulatedShop) -> Args:
    if enough(shop, "customer", 3):
        return None
    fields = customer_fields(shop)
    return {"id": shop.mint(), "name": fields["name"], **maybe(shop, **fields)}


@generator
def edit_customer(shop: SimulatedShop) -> Args:
    return edit(shop, one(shop, shop.all("customer")), customer_fields(shop))


def unused(shop: SimulatedShop, kind: str, *users: tuple[str, str]) -> Row | None:
    """A row that nothing belongs to, or now and then one that something does."""
    used = {row[name] for user, name in users for row in shop.all(user)}
    return one(shop, [row for row in shop.all(kind) if row["id"] not in used or shop.random.random() < 0.02])


@generator
def remove_customer(shop: SimulatedShop) -> Args:
    return target(unused(shop, "customer", ("site", "customer_id"), ("machine", "customer_id"), ("job", "customer_id")))


def site_fields(shop: SimulatedShop) -> Row:
    lat, lon = position(shop)
    # The server alone finds positions by addresses; a phone shows those once it has fetched them.
    source = shop.random.choice(["", "here", "map"])
    within = shop.random.randrange(5, 900) if source else None
    sure = {"position_source": source, "position_within_m": within}
    return {"label": words(shop), "address": words(shop), "lat": lat, "lon": lon, **sure, "access_notes": words(shop)}


@generator
def add_site(shop: SimulatedShop) -> Args:
    customer = one(shop, shop.all("customer"))
    fields = site_fields(shop)
    if shop.random.random() < 0.2:
        fields |= {"lat": None, "lon": None, "position_source": "", "position_within_m": None}
    return customer and {"id": shop.mint(), "customer_id": customer["id"], **fields}


@generator
def edit_site(shop: SimulatedShop) -> Args:
    return edit(
        shop, one(shop, shop.all("site")), site_fields(shop), [("lat", "lon", "position_source", "position_within_m")]
    )


@generator
def remove_site(shop: SimulatedShop) -> Args:
    return target(unused(shop, "site", ("job", "site_id"), ("stop", "site_id")))


def machine_fields(shop: SimulatedShop) -> Row:
    n = shop.random.randrange(1, 900)
    lengths = ("length", "width", "height", "wheelbase", "clearance")
    return {
        "kind": shop.random.choice(("garden tractor", "mower")),
        **{name: words(shop) for name in ("make", "model", "serial", "engine_make", "engine_model", "engine_serial")},
        "year": 1900 + n % 120,
        "notes": words(shop),
        "mass_kg": n,
        "mass_typed": f"{n} kg",
        **{f"{name}_cm": n for name in lengths},
        **{f"{name}_typed": f"{n} cm" for name in lengths},
        "tie_points": n % 20,
    }


FIGURES_TYPED = [
    ("mass_kg", "mass_typed"),
    *((f"{name}_cm", f"{name}_typed") for name in ("length", "width", "height", "wheelbase", "clearance")),
]


@generator
def add_machine(shop: SimulatedShop) -> Args:
    if enough(shop, "machine", 4):
        return None
    customer, fields = one(shop, shop.all("customer")), machine_fields(shop)
    return customer and {
        "id": shop.mint(),
        "customer_id": customer["id"],
        "kind": fields["kind"],
        **maybe(shop, make=fields["make"], model=fields["model"], year=fields["year"]),
        **maybe(shop, mass_kg=fields["mass_kg"]),
    }


@generator
def edit_machine(shop: SimulatedShop) -> Args:
    return edit(shop, one(shop, shop.all("machine")), machine_fields(shop), FIGURES_TYPED)


@generator
def remove_machine(shop: SimulatedShop) -> Args:
    uses = (("job", "machine_id"), ("meter_reading", "machine_id"), ("service_record", "machine_id"))
    return target(unused(shop, "machine", *uses))


@generator
def record_meter(shop: SimulatedShop) -> Args:
    machine = one(shop, shop.all("machine"))
    return machine and {
        "id": shop.mint(),
        "machine_id": machine["id"],
        "hours": f"{shop.random.randrange(900)}.{shop.random.randrange(1, 10)}",
        "read_on": shop.day(-shop.random.randrange(3)),
        **maybe(shop, new_segment=shop.random.random() < 0.3),
    }


@generator
def record_service(shop: SimulatedShop) -> Args:
    machine = None if enough(shop, "service_record", 6) else one(shop, shop.all("machine"))
    return machine and {
        "id": shop.mint(),
        "machine_id": machine["id"],
        "what": shop.random.choice(("Engine oil", "Air filter")),
        "done_on": shop.day(-shop.random.randrange(30)),
        **maybe(shop, job_mark="J-1"),
    }


# Jobs


@generator
def open_job(shop: SimulatedShop) -> Args:
    if enough(shop, "job", 5):
        return None
    machine = one(shop, shop.all("machine"))
    if machine is None:
        return None
    site = one(shop, whose(shop, "site", customer_id=machine["customer_id"]))
    optional = maybe(
        shop,
        promised_on=shop.day(shop.random.randrange(9)),
        notes=words(shop),
        urgency="down",
        arrives_by=shop.random.choice(("drop_off", "pickup")),
    )
    if site is not None and shop.random.random() < 0.8:
        optional["site_id"] = site["id"]
    first = one(shop, whose(shop, "job", machine_id=machine["id"]))
    if first is not None and shop.random.random() < 0.5:
        optional["comeback_of_id"] = first["id"]
    return {
        "id": shop.mint(),
        "customer_id": machine["customer_id"],
        "machine_id": machine["id"],
        "mark": f"B-{shop.random.randrange(99)}",
        **optional,
    }


@generator
def edit_job(shop: SimulatedShop) -> Args:
    job = one(shop, shop.all("job"))
    site = job and one(shop, whose(shop, "site", customer_id=job["customer_id"]))
    fields: dict[str, Any] = {
        "promised_on": shop.day(shop.random.randrange(9)),
        "notes": words(shop),
        "urgency": shop.random.choice(("usual", "down")),
        "arrives_by": shop.random.choice(("", "drop_off", "pickup", "visit")),
    }
    if job is not None:
        # Ids are made in the order of time, so those below it are of earlier jobs.
        earlier = [row for row in whose(shop, "job", machine_id=job["machine_id"]) if row["id"] < job["id"]]
        first = one(shop, earlier)
        fields["comeback_of_id"] = first and first["id"]
    return edit(shop, job, fields | ({"site_id": site["id"]} if site else {}))


STAGES = ("intake", "diagnosis", "repair", "testing", "ready", "returned", "closed", "cancelled")


@generator
def move_job(shop: SimulatedShop) -> Args:
    job = one(shop, shop.all("job"))
    if job is None:
        return None
    at = STAGES.index(job["stage"])
    near = STAGES if shop.random.random() < 0.1 else STAGES[max(at - 1, 0) : at + 2]
    return {"id": job["id"], "stage": shop.random.choice([stage for stage in near if stage != job["stage"]])}


@generator
def add_complaint(shop: SimulatedShop) -> Args:
    job = one(shop, shop.all("job"))
    return job and {
        "id": shop.mint(),
        "job_id": job["id"],
        "words": words(shop),
        **maybe(shop, happens_when="When warm"),
    }


def finding_fields(shop: SimulatedShop) -> Row:
    rank = shop.random.choice(("safety", "needed", "advised"))
    return {"words": words(shop), "rank": rank, "consequence": words(shop)}


@generator
def record_finding(shop: SimulatedShop) -> Args:
    job, fields = one(shop, shop.all("job")), finding_fields(shop)
    again = one(shop, whose(shop, "finding", decided="declined"))
    return job and {
        "id": shop.mint(),
        "job_id": job["id"],
        "words": fields["words"],
        "rank": fields["rank"],
        **maybe(shop, consequence=fields["consequence"], **({"again_of_id": again["id"]} if again else {})),
    }


@generator
def edit_finding(shop: SimulatedShop) -> Args:
    return edit(shop, one(shop, shop.all("finding")), finding_fields(shop))


@generator
def remove_finding(shop: SimulatedShop) -> Args:
    told, items = ("safety_acknowledgement", "finding_id"), ("safety_item", "finding_id")
    return target(unused(shop, "finding", ("quote_line", "finding_id"), ("finding", "again_of_id"), told, items))


@generator
def acknowledge_finding(shop: SimulatedShop) -> Args:
    finding = one(shop, whose(shop, "finding", rank="safety"))
    if finding is None:
        return None
    told = [disclosed_item(row) for row in whose(shop, "safety_item", finding_id=finding["id"])]
    return {
        "id": shop.mint(),
        "finding_id": finding["id"],
        "finding_words": finding["words"] if shop.random.random() < 0.9 else words(shop),
        "protection_lost": words(shop),
        "acknowledged_by_name": words(shop),
        "how": shop.random.choice(("in_person", "call", "writing")),
        "acknowledged_at": shop.stamp(),
        **maybe(shop, note=words(shop), items=told),
    }


def item_fields(shop: SimulatedShop) -> Row:
    return {
        "device": shop.random.choice(("seat_switch", "guards_and_chute", words(shop))),
        "condition": shop.random.choice(("not_working", "bypassed", "missing")),
        "protection_lost": words(shop),
        "interim": words(shop),
    }


@generator
def record_safety_item(shop: SimulatedShop) -> Args:
    job, fields = one(shop, shop.all("job")), item_fields(shop)
    finding = job and one(shop, whose(shop, "finding", job_id=job["id"]))
    again = one(shop, whose(shop, "finding", decided="declined"))
    given = shop.random.random() < 0.5
    if finding and given:
        about = {"finding_id": finding["id"]}
    else:
        about = maybe(shop, words=words(shop), **({"again_of_id": again["id"]} if again else {}))
    interim = maybe(shop, interim=fields.pop("interim"))
    return job and {"id": shop.mint(), "job_id": job["id"], **fields, **interim, **about}


@generator
def edit_safety_item(shop: SimulatedShop) -> Args:
    return edit(shop, one(shop, shop.all("safety_item")), item_fields(shop))


@generator
def note_part_search(shop: SimulatedShop) -> Args:
    item = one(shop, shop.all("safety_item"))
    return item and {"id": item["id"], "where": words(shop), "answer": words(shop), "asked_at": shop.stamp()}


def trial(shop: SimulatedShop, item: Row | None) -> Args:
    seen = {"tried_at": shop.stamp(), "seen": words(shop), **maybe(shop, tries=shop.random.randrange(1, 9))}
    return item and {"id": item["id"], **seen}


@generator
def repair_safety_item(shop: SimulatedShop) -> Args:
    return trial(shop, one(shop, shop.all("safety_item")))


@generator
def reopen_safety_item(shop: SimulatedShop) -> Args:
    return trial(shop, one(shop, whose(shop, "safety_item", repaired=True)))


@generator
def remove_safety_item(shop: SimulatedShop) -> Args:
    told = {item["item_id"] for row in shop.all("safety_acknowledgement") for item in row["items"]}
    untouched = whose(shop, "safety_item", trials=[], part_search=[])
    return target(one(shop, [row for row in untouched if row["id"] not in told]))


def disclosed_item(row: Row) -> Row:
    return {"item_id": row["id"], **{name: row[name] for name in ("device", "condition", "protection_lost")}}


@generator
def record_intake_terms(shop: SimulatedShop) -> Args:
    job = one(shop, shop.all("job"))
    storage = {"storage_free_days": 30, "storage_per_day_minor": 300} if shop.random.random() < 0.5 else {}
    return job and {
        "id": shop.mint(),
        "job_id": job["id"],
        "accepted_by_name": words(shop),
        "accepted_at": shop.stamp(),
        **storage,
        **maybe(shop, diagnosis_fee_minor=6500, diagnosis_credited=True),
    }


@generator
def print_labels(shop: SimulatedShop) -> Args:
    job = one(shop, shop.all("job"))
    return job and {
        "id": shop.mint(),
        "job_id": job["id"],
        "kind": shop.random.choice(("bags", "safety")),
        **maybe(shop, first=shop.random.randrange(1, 40), count=shop.random.randrange(1, 60)),
    }


@generator
def add_attachment(shop: SimulatedShop) -> Args:
    kind = shop.random.choice(("finding", "machine", "job", "stop"))
    row = one(shop, shop.all(kind))
    return row and {
        "id": shop.mint(),
        "about_kind": kind,
        "about_id": row["id"],
        "taken_at": shop.stamp(),
        "sha256": f"{shop.random.getrandbits(256):064x}",
        "bytes": shop.random.randrange(1, 90_000),
        **maybe(shop, caption=words(shop)),
        **maybe(shop, media="voice", seconds=shop.random.randrange(0, 180)),
        **maybe(shop, drawn_from_id=shop.mint()),
    }


@generator
def edit_attachment(shop: SimulatedShop) -> Args:
    return edit(shop, one(shop, shop.all("attachment")), {"caption": words(shop)})


@generator
def remove_attachment(shop: SimulatedShop) -> Args:
    return target(one(shop, shop.all("attachment")))
