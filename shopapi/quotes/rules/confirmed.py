"""Which parts of a price book a person has confirmed, and the drafts that follow them.

A new shop begins with prices that nobody chose (`starting_prices.py`). No quote is offered before a person has entered
or confirmed each part that every quote rests on. Twin: `pwa/src/domain/quotes/confirmed.ts`.
"""

from collections.abc import Collection
from datetime import date
from typing import Literal

from typing_extensions import TypeAliasType

from shopapi.core.enums import values_of
from shopapi.core.errors import FieldError
from shopapi.quotes.rules.price_book import ShopPrices, basis_on

PricePart = TypeAliasType("PricePart", Literal["labor_rates", "part_bands", "tax_profiles", "terms"])

PRICE_PARTS = values_of(PricePart)
"""The parts that are confirmed, in the order in which they are asked about."""


def with_confirmed(confirmed: Collection[str], more: Collection[str]) -> list[str]:
    """The confirmed parts with more of them, in their order: confirmations add up, whoever made them."""
    return [part for part in PRICE_PARTS if part in confirmed or part in more]


def unconfirmed(confirmed: Collection[str]) -> list[FieldError]:
    """The parts that nobody has confirmed, as fields at fault; empty: quotes may be offered."""
    return [
        FieldError(part, "unconfirmed", message=f"unconfirmed_{part}") for part in PRICE_PARTS if part not in confirmed
    ]


def following(basis: ShopPrices, book: ShopPrices, parts: Collection[str], on: date) -> ShopPrices:
    """The basis of a draft that follows the price book in some parts, with the tax in force on a day.

    A draft keeps the prices it was begun with; those that nobody had confirmed by then are the exception.
    """
    current = basis_on(book, on)
    changed = {part: getattr(book, part) for part in parts if part != "tax_profiles"}
    if "tax_profiles" in parts and current is not None:
        changed["tax_profiles"] = current.tax_profiles
    return basis.model_copy(update=changed)
