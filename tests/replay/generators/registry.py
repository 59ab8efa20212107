"""Random arguments for every command that fit the shop's current rows.

A draw gives None where the shop has nothing that the command could be about. Most of what is drawn is applied; what the
server refuses is drawn again with something else.
"""

from collections.abc import Callable, Iterable, Mapping
from datetime import datetime, timedelta
from typing import Any

from tests.replay.phone_replay import Row
from tests.replay.simulated_shop import SimulatedShop

Args = dict[str, Any] | None
Generator = Callable[[SimulatedShop], Args]
GENERATORS: dict[str, Generator] = {}

WORDS = ("Blade dull", "Stalls when warm", "Deck belt", "Gate code 12", "Küche", "“Hartvale” GT", "It smokes")
MINUTES = (0, 1, 5, 12, 30, 47)


FOLLOWS: Mapping[str, tuple[str, ...]] = {
    "record_removal": ("record_removal", "put_step_back", "add_put_back_rule"),
    "draft_quote": ("put_quote_line",),
    "put_quote_line": (
        "put_quote_line",
        "edit_quote",
        "remove_quote_line",
        "offer_quote",
        "offer_quote",
        "offer_quote",
    ),
    "offer_quote": ("send_approval_request", "decide_quote", "remake_pdf"),
    "send_approval_request": ("revoke_approval_link",),
    "decide_quote": ("draft_quote",),
    "start_clock": ("start_clock", "stop_clock", "stop_clock"),
    "stop_clock": ("correct_entry", "settle_entries", "settle_entries"),
    "open_run": ("move_stop", "lock_run"),
    "move_stop": ("move_stop", "start_run"),
    "lock_run": ("unlock_run", "start_run"),
    "start_run": ("arrive_stop", "fail_stop", "report_breakdown"),
    "arrive_stop": ("leave_stop", "leave_stop", "fail_stop", "hand_over"),
    "leave_stop": ("arrive_stop", "end_run", "take_back_stamp", "report_breakdown", "report_breakdown"),
    "fail_stop": ("take_back_stamp",),
    "report_breakdown": ("repair_rig",),
    "hand_over": ("print_hand_over",),
    "draft_invoice": ("put_invoice_line", "edit_invoice", "issue_invoice", "issue_invoice"),
    "put_invoice_line": ("issue_invoice",),
    "issue_invoice": ("draft_credit_note", "send_invoice", "remake_invoice_pdf"),
    "draft_credit_note": ("issue_credit_note", "issue_credit_note"),
    "add_part_order": ("add_part_order_line", "add_part_order_line"),
    "add_part_order_line": ("add_part_order_line", "note_part_order_sent", "mail_part_order"),
    "note_part_order_sent": ("answer_part_order_line", "record_part_arrival", "record_part_arrival"),
    "record_part_arrival": ("record_part_arrival", "add_part_return"),
    "add_part_return": ("send_part_return", "refund_part_return"),
    "record_payment": ("record_refund", "reverse_payment", "print_receipt"),
    "print_receipt": ("send_billing_printout",),
    "turn_on_push": ("turn_off_push",),
}
"""Likely next commands, so that a walk gets as far as real work does."""


def generator(function: Generator) -> Generator:
    GENERATORS[function.__name__] = function
    return function


def maybe(shop: SimulatedShop, **more: Any) -> Row:
    """A random subset of these fields."""
    return {name: value for name, value in more.items() if shop.random.random() < 0.5}


def one(shop: SimulatedShop, rows: Iterable[Row]) -> Row | None:
    found = list(rows)
    return shop.random.choice(found) if found else None


def words(shop: SimulatedShop) -> str:
    return shop.random.choice(WORDS)


def whose(shop: SimulatedShop, kind: str, /, **wanted: Any) -> list[Row]:
    """The rows of a kind whose fields are as wanted: a value, or one of a tuple."""

    def fits(row: Row) -> bool:
        return all(row[name] in (value if isinstance(value, tuple) else (value,)) for name, value in wanted.items())

    return [row for row in shop.all(kind) if fits(row)]


def edit(
    shop: SimulatedShop, row: Row | None, fields: Mapping[str, Any], together: Iterable[tuple[str, ...]] = ()
) -> Args:
    """An edit of one field or a few, with the values that the phone shows as seen."""
    if row is None:
        return None
    names = set(shop.random.sample(sorted(fields), min(len(fields), shop.random.choice((1, 1, 2)))))
    for group in together:
        if names & set(group):
            names |= set(group)
    changed = {name: fields[name] for name in sorted(names)}
    # Sometimes somebody else changed it since this phone's last pull.
    stale = shop.random.random() < 0.15
    seen = {name: STALE_VALUES.get(name, row[name]) if stale else row[name] for name in changed}
    return {"id": row["id"], "base": seen, "set": changed}


STALE_VALUES = {"name": "As it was", "notes": "As they were", "label": "As it was", "words": "As they were", "crew": 4}


def target(row: Row | None) -> Args:
    return None if row is None else {"id": row["id"]}


def position(shop: SimulatedShop) -> tuple[str, str]:
    return f"40.3{shop.random.randrange(1000):03}1", f"-98.4{shop.random.randrange(1000):03}1"


def enough(shop: SimulatedShop, kind: str, most: int) -> bool:
    """Whether a shop has enough rows of a kind."""
    return len(shop.all(kind)) >= most and shop.random.random() < 0.9


def shifted(text: str, minutes: int) -> str:
    at = datetime.fromisoformat(text) + timedelta(minutes=minutes)
    return at.isoformat(timespec="milliseconds").replace("+00:00", "Z")
