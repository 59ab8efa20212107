"""Texts beside the amounts of an offer, and the refusals of its fields.

Twin: `pwa/src/domain/quotes/wording.ts`, the same cases; the phone gets the sentences by `config/contract/messages.py`.
"""

from shopapi.core.errors import FieldError
from shopapi.core.languages import Texts


def on_top(texts: Texts, *, supplies: bool, tax: bool, tax_inside: bool) -> str:
    """The notice of what is added to the lines' prices, shown before a decision; empty if nothing is."""
    taxed = "inside" if tax and tax_inside else "tax" if tax else ""
    case = "_".join(filter(None, ("supplies" if supplies else "", taxed)))
    return texts[f"on_top_{case}"] if case else ""


def refusal(field: str, code: str) -> FieldError:
    """The refusal of `field` (a dotted path) by its code."""
    return FieldError(field, code)
