"""English sentences of the bench."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    # Of the inputs of a calculator; the phone says the same.
    "adapter_too_long": "Turned back like this, the adapter is too long for that wrench. Check lengths and angle.",
    "choice_unknown": "Choose one from the list.",
    "figure_improbable": "This figure can't be right. Check it and its unit.",
    "grade_misfit": "Threads of this kind have other grades. Choose one that goes with the thread.",
    "held_above_supplied": "The cylinder can't hold more than what goes in. Check both gauges.",
    "input_missing": "Enter this.",
    "not_above_zero": "Enter a figure above zero.",
    "number_unreadable": "Enter a plain number, such as 12.5.",
    "unit_misfit": "This unit measures something else. Choose one that fits.",
    "check_list_in_use": "This check list is in use.",
    "item_twice": "This item is in the list twice.",
}
