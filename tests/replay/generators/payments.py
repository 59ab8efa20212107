"""Payments, refunds and reversals."""

from tests.replay.generators.registry import Args, generator, maybe, one, target, whose, words
from tests.replay.phone_replay import Row
from tests.replay.simulated_shop import SimulatedShop

METHODS = ("cash", "check", "card", "transfer", "credit", "other")


def entry(shop: SimulatedShop, job: Row) -> Row:
    return {
        "id": shop.mint(),
        "job_id": job["id"],
        "method": shop.random.choice(METHODS),
        "amount_minor": shop.random.choice((1, 2500, 40_000)),
        "paid_at": shop.stamp(),
        **maybe(shop, reference=words(shop), note=words(shop), paid_on=shop.day(-2)),
    }


@generator
def record_payment(shop: SimulatedShop) -> Args:
    job = one(shop, shop.all("job"))
    return job and entry(shop, job) | maybe(shop, kind="deposit", tip_minor=500)


@generator
def record_refund(shop: SimulatedShop) -> Args:
    paid = one(shop, shop.all("payment"))
    return paid and entry(shop, {"id": paid["job_id"]})


@generator
def reverse_payment(shop: SimulatedShop) -> Args:
    paid = one(shop, shop.all("payment"))
    return paid and {
        "id": shop.mint(),
        "reverses_id": paid["id"],
        "paid_at": shop.stamp(),
        **maybe(shop, note=words(shop)),
    }


@generator
def print_receipt(shop: SimulatedShop) -> Args:
    paid = one(shop, shop.all("payment"))
    return paid and {"id": shop.mint(), "payment_id": paid["id"]}


@generator
def print_statement(shop: SimulatedShop) -> Args:
    customer = one(shop, shop.all("customer"))
    return customer and {
        "id": shop.mint(),
        "customer_id": customer["id"],
        "first_on": shop.day(-90),
        "through": shop.day(0),
    }


def letter(shop: SimulatedShop, row: Row | None) -> Args:
    channel, address = shop.random.choice((("email", "w@stroud.example"), ("sms", "+1 402 555 0142")))
    return row and {"id": row["id"], "channel": channel, "address": address, **maybe(shop, name="Winnie")}


@generator
def send_billing_printout(shop: SimulatedShop) -> Args:
    return letter(shop, one(shop, shop.all("billing_printout")))


@generator
def send_invoice(shop: SimulatedShop) -> Args:
    return letter(shop, one(shop, whose(shop, "invoice", state=("issued", "cancelled"))))


@generator
def remake_invoice_pdf(shop: SimulatedShop) -> Args:
    return target(one(shop, whose(shop, "invoice", state=("issued", "cancelled"))))
