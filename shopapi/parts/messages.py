"""English sentences of parts."""

from collections.abc import Mapping

# By pairs: each is the sentence of two codes.
PART_STATES = (
    ("wanted", "Wanted"),
    ("ordered", "Ordered"),
    ("back_ordered", "Back-ordered"),
    ("no_longer_made", "No longer made"),
    ("arrived", "Arrived"),
    ("fitted", "Fitted"),
    ("sent_back", "Sent back"),
    ("from_stock", "Used from stock"),
    ("cancelled", "Cancelled"),
)

ORDER_STATES = (
    ("draft", "Draft"),
    ("sent", "Sent"),
    ("confirmed", "Confirmed"),
    ("closed", "Closed"),
    ("cancelled", "Cancelled"),
)

MESSAGES: Mapping[str, str] = {
    # The states as screens call them, by the placeholders that name one.
    **{f"{name}.{state}": words for name in ("part_before", "part_state") for state, words in PART_STATES},
    **{f"{name}.{state}": words for name in ("order_before", "order_state") for state, words in ORDER_STATES},
    "arrival_of_another_line": "Choose an arrival of the same line.",
    "arrival_undone": "This arrival was undone already.",
    "line_of_another_supplier": "Choose the supplier that the part was ordered from.",
    "part_fitted_is_fact": "Record that the part is fitted on the part itself.",
    "part_need_in_use": (
        "This part is on an order, was searched for, or is past “Wanted”, so it can't be deleted. Cancel it instead."
    ),
    "part_need_ordered": "{part} is on order {order} already. Take it off that order first, or close that order.",
    "part_order_arrived": "Some of order {order} came, so it can't be cancelled. Close it instead.",
    "part_order_empty": "There is nothing on this order. Add a part first.",
    "part_order_line_empty": "Enter a part number or a description.",
    "part_order_line_in_use": "A return refers to this line, so it can't be deleted.",
    "part_order_not_next": "Order {order} can't go from “{order_before}” to “{order_state}”.",
    "part_order_not_sent": "This order wasn't sent. Mark it as sent first, then record what came.",
    "part_order_pdf_not_made": "This PDF isn't made yet.",
    "part_order_sent": "Order {order} was sent already. Put more parts on another order.",
    "part_return_in_use": "This return was sent or refunded already, so it can't be deleted.",
    "part_state_not_next": "A part can't go from “{part_before}” to “{part_state}”.",
    "refund_below_zero": "Enter an amount. You can't take back more than what was refunded.",
    "half_a_supplier": "Enter both coordinates of the supplier, or neither.",
    "half_opening_hours": "Enter both when the supplier opens and when it closes, or neither.",
    "supplier_ends_first": "The supplier must close after it opens.",
    "supplier_without_mail": "Enter a mail address: this supplier has none.",
    # Of the stock.
    "arrives_in": "Parts that arrive come in: enter a quantity above zero.",
    "goes_out": "Parts sent back or written off go out: enter a quantity below zero.",
    "move_has_own_command": "Record a count, or a move between two places, as such.",
    "moved_nothing": "Enter how many.",
    "same_place": "Choose another place; the parts are here already.",
    "sheet_of_nothing": "Choose a place, or parts.",
    "stock_below_zero": (
        "{level} more of {part} were taken from {place} than were there. Two people may have taken the last one, or a "
        "count is wrong. Count it."
    ),
    "stock_sheet_not_made": "This PDF isn't made yet.",
    # Of price lists.
    "list_fields": "These columns can't be read as chosen.",
    "list_numbers_missing": "Say which column holds the part numbers.",
    "list_unreadable": "This file can't be read.",
    "nothing_listed": "No row of the file can be read. Nothing was imported.",
    "price_list_imported": "This price list is imported already. Upload the file again to import it once more.",
    "superseded_by_itself": "Enter the number that replaces this one; it can't be the same.",
}
