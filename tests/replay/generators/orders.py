"""Orders of parts, arrivals, returns."""

from shopapi.accounts.rules import Permission
from tests.replay.generators.registry import Args, edit, enough, generator, maybe, one, target, whose, words
from tests.replay.phone_replay import Row
from tests.replay.simulated_shop import SimulatedShop

UNDER_WAY = ("sent", "confirmed", "closed")
HOWS = ("mail", "message", "phone", "counter")


def cost(shop: SimulatedShop) -> Row:
    """A price now and then; never from members who may not see any."""
    return maybe(shop, cost_minor=shop.random.choice((900, 1234))) if shop.actor.may(Permission.SEE_COST) else {}


def lines_of(shop: SimulatedShop, *states: str) -> list[Row]:
    orders = {row["id"] for row in whose(shop, "part_order", state=states)}
    return [row for row in shop.all("part_order_line") if row["order_id"] in orders]


@generator
def add_part_order(shop: SimulatedShop) -> Args:
    supplier = one(shop, shop.all("supplier"))
    if supplier is None or len(whose(shop, "part_order", state="draft")) > 2:
        return None
    return {"id": shop.mint(), "supplier_id": supplier["id"], **maybe(shop, mark="A-4", note=words(shop))}


@generator
def edit_part_order(shop: SimulatedShop) -> Args:
    fields = {
        "promised_on": shop.day(4),
        "note": words(shop),
        "bill_number": "R 77",
        "bill_minor": shop.random.choice((None, 4500)),
        "bill_due_on": shop.day(20),
        "bill_paid_on": None,
    }
    return edit(shop, one(shop, shop.all("part_order")), fields)


@generator
def note_part_order_sent(shop: SimulatedShop) -> Args:
    line = one(shop, lines_of(shop, "draft"))
    order = line["order_id"] if line else (one(shop, shop.all("part_order")) or {}).get("id")
    return order and {"id": order, "how": shop.random.choice(HOWS), "sent_at": shop.stamp()}


@generator
def mail_part_order(shop: SimulatedShop) -> Args:
    line = one(shop, lines_of(shop, "draft", "sent"))
    return line and {"id": line["order_id"], "address": "parts@oakline.example", "sent_at": shop.stamp()}


@generator
def cancel_part_order(shop: SimulatedShop) -> Args:
    return target(one(shop, whose(shop, "part_order", state=("draft", "sent"))))


@generator
def close_part_order(shop: SimulatedShop) -> Args:
    return target(one(shop, whose(shop, "part_order", state=("sent", "confirmed"))))


@generator
def print_part_order(shop: SimulatedShop) -> Args:
    return target(one(shop, shop.all("part_order")))


def part_fields(shop: SimulatedShop) -> Row:
    return {
        "number": shop.random.choice(("", "754-0461")),
        "description": words(shop),
        "quantity": shop.random.choice(("1", "2", "1.5")),
        "core_minor": shop.random.choice((0, 700)),
        "position": shop.random.randrange(5),
    }


@generator
def add_part_order_line(shop: SimulatedShop) -> Args:
    order = one(shop, whose(shop, "part_order", state="draft"))
    if order is None or enough(shop, "part_order_line", 9):
        return None
    taken = {row["need_id"] for row in shop.all("part_order_line")}
    need = one(shop, [row for row in whose(shop, "part_need", state="wanted") if row["id"] not in taken])
    part = one(shop, shop.all("catalog_part"))
    more = {"need_id": need["id"]} if need else {}
    fields = part_fields(shop)
    return {
        "id": shop.mint(),
        "order_id": order["id"],
        "description": fields["description"],
        **maybe(shop, **fields),
        **cost(shop),
        **more,
        **(maybe(shop, catalog_part_id=part["id"]) if part else {}),
    }


@generator
def edit_part_order_line(shop: SimulatedShop) -> Args:
    return edit(shop, one(shop, lines_of(shop, "draft")), part_fields(shop))


@generator
def answer_part_order_line(shop: SimulatedShop) -> Args:
    line = one(shop, lines_of(shop, "draft", *UNDER_WAY))
    answers = ("open", "confirmed", "confirmed", "back_ordered", "no_longer_made", "dropped")
    return line and {
        "id": line["id"],
        "answer": shop.random.choice(answers),
        **maybe(shop, promised_on=shop.day(3)),
        **cost(shop),
    }


@generator
def remove_part_order_line(shop: SimulatedShop) -> Args:
    returned = {row["order_line_id"] for row in shop.all("part_return")}
    return target(one(shop, [row for row in lines_of(shop, "draft") if row["id"] not in returned]))


@generator
def record_part_arrival(shop: SimulatedShop) -> Args:
    line = one(shop, lines_of(shop, *UNDER_WAY))
    if line is None:
        return None
    came = whose(shop, "part_arrival", order_line_id=line["id"])
    undone = {row["undoes_id"] for row in came}
    again = one(shop, [row for row in came if row["undoes_id"] is None and row["id"] not in undone])
    undo = {"undoes_id": again["id"]} if again and shop.random.random() < 0.3 else {}
    return {
        "id": shop.mint(),
        "order_line_id": line["id"],
        "quantity": shop.random.choice(("1", "2", "0.5")),
        "arrived_at": shop.stamp(),
        **maybe(shop, condition=shop.random.choice(("good", "wrong", "damaged")), note=words(shop)),
        **cost(shop),
        **undo,
    }


def return_fields(shop: SimulatedShop) -> Row:
    return {
        "number": "754-0461",
        "description": words(shop),
        "quantity": shop.random.choice(("1", "2")),
        "note": words(shop),
    }


@generator
def add_part_return(shop: SimulatedShop) -> Args:
    supplier = one(shop, shop.all("supplier"))
    if supplier is None or enough(shop, "part_return", 5):
        return None
    orders = {row["id"] for row in whose(shop, "part_order", supplier_id=supplier["id"])}
    line = one(shop, [row for row in shop.all("part_order_line") if row["order_id"] in orders])
    need = one(shop, whose(shop, "part_need", state="arrived"))
    expected = maybe(shop, expected_minor=2000) if shop.actor.may(Permission.SEE_COST) else {}
    return {
        "id": shop.mint(),
        "supplier_id": supplier["id"],
        "reason": shop.random.choice(("wrong", "damaged", "not_needed", "not_needed", "core", "warranty")),
        **return_fields(shop),
        **expected,
        **(maybe(shop, order_line_id=line["id"]) if line else {}),
        **({"need_id": need["id"]} if need else {}),
    }


@generator
def edit_part_return(shop: SimulatedShop) -> Args:
    more = {"expected_minor": 3000} if shop.actor.may(Permission.SEE_COST) else {}
    return edit(shop, one(shop, shop.all("part_return")), return_fields(shop) | more)


@generator
def send_part_return(shop: SimulatedShop) -> Args:
    row = one(shop, shop.all("part_return"))
    return row and {"id": row["id"], "sent_on": shop.day(0)}


@generator
def refund_part_return(shop: SimulatedShop) -> Args:
    row = one(shop, shop.all("part_return"))
    return row and {
        "id": row["id"],
        "amount_minor": shop.random.choice((500, 2000, -500 if (row["refunded_minor"] or 0) >= 500 else 700)),
        "refunded_on": shop.day(0),
        **({"rest_lost": True} if shop.random.random() < 0.2 else {}),
    }


@generator
def refuse_part_return(shop: SimulatedShop) -> Args:
    row = one(shop, shop.all("part_return"))
    return row and {"id": row["id"], **maybe(shop, note=words(shop))}


@generator
def remove_part_return(shop: SimulatedShop) -> Args:
    return target(one(shop, [row for row in whose(shop, "part_return", state="to_send") if not row["refunded_on"]]))
