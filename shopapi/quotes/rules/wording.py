"""Texts beside the amounts of an offer.

Twin: `pwa/src/domain/quotes/wording.ts`, the same cases; the phone gets the sentences above them by
`config/contract/messages.py`.
"""

from shopapi.core.errors import FieldError

ADDED = {
    "labor_minimum": "Up to the shop's minimum for labor",
    "supplies": "Shop supplies",
    "diagnosis_credit": "Diagnosis fee credited against the repair",
    "discount": "Discount",
    "exemption": "Tax taken out of the prices (exempt)",
}
"""The label of each amount that is added to the lines."""


IN_PART = (
    "The fixed discount is for everything on this quote. If you accept only some of it, "
    "you get the same share of the discount."
)
"""The notice about a fixed discount before a decision."""

CREDITED = (
    "What is credited of the diagnosis fee is not charged: no tax falls on it, and the repair is taxed as without it."
)
"""What the customer reads of a credited diagnosis fee (rules version 3)."""

ONLY_ONE = "Belongs with {works}: a yes to one of them alone may leave the work unfinished."
"""What the customer reads where lines of one work are asked apart."""

CHANGES = {"added": "New", "changed": "Changed", "removed": "Taken out"}
"""How an item of a revision differs from the quote that was signed."""
WAS = "was {money}"
SAME_PRICE = "same price"
UNCHANGED = {True: "{count} item hasn't changed.", False: "{count} items haven't changed."}
"""By whether it is one."""
SIGNED_BEFORE = "{name} answered the quote before this on {day}."
ANSWERS_KEPT = "Answers to what hasn't changed are kept; you can change them here."
ANSWER_KEPT = {"yes": "Not changed. Answered yes on {day}.", "no": "Not changed. Answered no on {day}."}

KINDS = {
    "labor": "Labor",
    "part": "Part",
    "travel": "Travel",
    "fee": "Fee",
    "supplies": "Supplies",
}

SUPPLIES = "Shop supplies (cleaner, grease, rags and the like)"


def on_top(*, supplies: bool, tax: bool, tax_inside: bool) -> str:
    """The notice of what is added to the lines' prices, shown before a decision; empty if nothing is."""
    both = {
        (True, True): f"{SUPPLIES} and tax are added to these prices and included in the total.",
        (True, False): f"{SUPPLIES} are added to these prices and included in the total.",
        (False, True): "Tax is added to these prices and included in the total.",
    }
    said = both.get((supplies, tax and not tax_inside), "")
    return f"{said} Prices include tax.".strip() if tax and tax_inside else said


def refusal(field: str, code: str) -> FieldError:
    """The refusal of `field` (a dotted path) by its code."""
    return FieldError(field, code)
