"""English sentences of machines."""

from collections.abc import Mapping

# What is wrong with a sheet, a limit or an entry; the phone says the same beneath the field.
SHEET_FAULTS: Mapping[str, str] = {
    "limit_empty": "Enter a value, a lowest or a highest one.",
    "limit_twice": "Enter a tolerance, or a lowest and a highest value, not both.",
    "limit_upside_down": "The highest value is below the lowest. Swap them.",
    "nominal_outside": "This value isn't between the lowest and the highest.",
    "not_for_entry": "An entry of this kind has no such field; leave it empty.",
    "order_of_one": "Name two different parts.",
    "serials_upside_down": "The last serial number comes before the first. Swap them.",
    "service_never": "Enter hours, months, or both.",
    "sheet_for_nothing": "Say what this is about: a kind of machine, a make, a model, an engine or a family.",
    "tolerance_negative": "Enter the tolerance without a minus sign.",
    "tolerance_of_nothing": "Enter the value that this tolerance is around.",
    "torque_not_positive": "Enter a torque above zero.",
    "unit_of_another_quantity": "This unit doesn't measure that. Choose one that does.",
}

MESSAGES: Mapping[str, str] = {
    "machine_in_use": "This machine has jobs, readings or entries on a sheet; archive it instead.",
    "sheet_in_use": "This sheet has entries; archive it instead.",
    "limit_in_use": "Something was measured against this limit; change it instead.",
    "sheet_entry_in_use": "This entry is in use; change it instead.",
    **SHEET_FAULTS,
}
