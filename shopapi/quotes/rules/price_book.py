"""The price book of a shop, and the part of it that each quote stores as its basis.

A quote's basis is the price book of the day with exactly one tax profile, the one valid on that day.
Amounts are integer minor units of the book's currency; percentages are percents ("6.25" is 6.25 %).
Every figure was entered by the owner of the shop; the program contains no tax rates.
Twin: `pwa/src/domain/quotes/book.ts`.
"""

import re
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Annotated, Literal
from uuid import UUID

from pydantic import AfterValidator, BeforeValidator
from pydantic_core import PydanticCustomError
from typing_extensions import TypeAliasType

from shopapi.accounts.rules import Permission
from shopapi.core.money import Rounding
from shopapi.core.schema import DecimalText, Schema, SeenWith, Text
from shopapi.quotes.messages import REFUSALS

RULES_VERSION = 3
"""The version of the calculation rules of new quotes."""

CURRENCY = re.compile("[A-Z]{3}")
PLAIN_DAY = re.compile("[0-9]{4}-[0-9]{2}-[0-9]{2}")
PLAIN_KEY = re.compile("[a-z][a-z0-9_-]{0,39}")
# The characters that count as blank, so that both twins agree on what an empty text is.
BLANK = "\t\n\v\f\r \u0085\u00a0\u1680\u2000-\u200b\u2028\u2029\u202f\u205f\u2060\u3000\ufeff"
NOT_BLANK = re.compile(f"[^{BLANK}]")


def refuse(code: str) -> PydanticCustomError:
    """The refusal of one field inside a schema, without the full stop; `parse` adds it and the field's path."""
    return PydanticCustomError(code, REFUSALS[code].removesuffix("."))


def within(low: int, high: int, code: str) -> AfterValidator:
    """A number from `low` to `high`, both included; anything else is refused with `code`."""

    def check(number: int | Decimal) -> int | Decimal:
        if not low <= number <= high:
            raise refuse(code)
        return number

    return AfterValidator(check)


def at_most(characters: int) -> AfterValidator:
    """A text of at most `characters` characters."""

    def check(text: str) -> str:
        if len(text) > characters:
            raise refuse("text_too_long")
        return text

    return AfterValidator(check)


def _plain_day(raw: object) -> object:
    """A day from its text; pydantic alone would also accept a number as seconds since 1970."""
    if not isinstance(raw, str):
        return raw
    try:
        return date.fromisoformat(raw if PLAIN_DAY.fullmatch(raw) else "")
    except ValueError:
        raise PydanticCustomError("date_parsing", "Write a day such as 2026-01-31") from None


def _currency(text: str) -> str:
    if not CURRENCY.fullmatch(text):
        raise refuse("currency_unknown")
    return text


def plain_key(text: str) -> str:
    """A short machine-readable name, as `REFUSALS` describes it."""
    if not PLAIN_KEY.fullmatch(text):
        raise refuse("key_not_plain")
    return text


def not_blank(text: str) -> str:
    """A text that is not blank."""
    if not NOT_BLANK.search(text):
        raise refuse("words_empty")
    return text


Currency = Annotated[str, AfterValidator(_currency)]
Day = Annotated[date, BeforeValidator(_plain_day)]
Key = Annotated[str, AfterValidator(plain_key)]
Label = Annotated[Text, at_most(120), AfterValidator(not_blank)]
Price = Annotated[int, within(0, 10**9, "money_out_of_range")]
Percent = Annotated[DecimalText, within(0, 100, "percent_out_of_range")]
Markup = Annotated[DecimalText, within(0, 1000, "markup_out_of_range")]
Distance = Annotated[DecimalText, within(0, 10_000, "distance_out_of_range")]


TaxedKind = TypeAliasType("TaxedKind", Literal["labor", "part", "travel", "fee", "supplies"])


class LaborRate(Schema):
    """The price of an hour of labor; if named, for one member or one kind of work only."""

    key: Key
    label: Label
    minor_per_hour: Price
    member_id: UUID | None = None
    work: Key | None = None


class PartBand(Schema):
    """The mark-up on parts with a unit cost of at most `up_to_minor`; None: on all above the other bands."""

    up_to_minor: Price | None
    markup_percent: Markup


class Supplies(Schema):
    """Shop supplies as a share of labor, parts or both, never below the floor or above the cap."""

    percent: Percent
    of: tuple[Literal["labor", "part"], ...]
    floor_minor: Price
    cap_minor: Price | None


class Zone(Schema):
    """A region with one travel price."""

    key: Key
    label: Label
    minor: Price


class Travel(Schema):
    """How travel is charged: by distance beyond the free units, or by zone."""

    mode: Literal["distance", "zone"]
    minor_per_unit: Price
    unit: Literal["mi", "km"]
    free_units: Distance
    minimum_minor: Price
    zones: tuple[Zone, ...]


class DepositRule(Schema):
    """The deposit on quotes with a total of at least `from_total_minor`; 0 percent: none.

    `fixed_minor`: this amount instead of the percentage, not rounded; None: the percentage, to `rounding_to_minor`.
    """

    percent: Percent
    of: Literal["parts", "total"]
    from_total_minor: Price
    rounding_to_minor: Annotated[int, within(1, 1_000_000, "step_out_of_range")]
    fixed_minor: Price | None = None


class Storage(Schema):
    """What storage of a machine costs from `free_days` after the call that it is ready; 0 a day: nothing is charged.

    `cap_minor`: the most that storage of one machine comes to; None: no limit of its own.
    """

    free_days: Annotated[int, within(0, 365, "free_days_out_of_range")] = 0
    per_day_minor: Price = 0
    cap_minor: Price | None = None


class TaxRate(Schema):
    """One authority's rate. `of`: the kinds of line that it is for, such as parts alone; None: all that are taxed."""

    key: Key
    label: Label
    percent: Percent
    of: tuple[TaxedKind, ...] | None = None


class TaxProfile(Schema):
    """What is taxed and how, from one day to another, both included; None: without an end.

    `labor`: when labor is taxed: always, if the shop supplies a part too, or never as long as it is stated separately;
    `lumped`: the shop states one price for everything, which is taxed as a whole. `inclusive`: prices include the tax.
    `per`: rounded per line, or once for the whole. `rates_rounded`: "each" rounds every rate's tax by itself, as
    required for taxes that are stated separately (a federal and a provincial one); "together" rounds the sum of the
    rates once and splits it. Profiles stored before this setting existed lack the field, which means "together". Rates
    may be limited to kinds of line, so that one document has two rates; amounts with the same rates are a class of
    their own (`taxes.py`).
    """

    key: Key
    label: Label
    from_on: Day
    until_on: Day | None
    inclusive: bool
    per: Literal["line", "invoice"]
    rounding: Rounding
    rates: tuple[TaxRate, ...]
    rates_rounded: Literal["together", "each"] = "together"
    labor: Literal["always", "when_parts_supplied", "never_when_separate"]
    part: bool
    supplies: bool
    travel: bool
    fee: bool
    lumped: bool


class ShopPrices(Schema):
    """All settings of a shop for its quotes. `rounding` is that of amounts; tax has that of its profile.

    The first labor rate is the standard one. The labor minimum applies to the accepted labor of a quote. The diagnosis
    fee is charged by a fee line with the work "diagnosis" and, if `credit_diagnosis` is set, credited against accepted
    repair labor. Without part bands each part needs a set price. `tolerance_percent`: how far the invoice may exceed
    the quote without a new approval. `storage` is told at intake and is no line of a quote. `fixed_discount`: what
    comes off of a discount that is an amount where only a part is accepted, from rules version 2 on: "shared", the same
    share of it, or "full", all of it. Books stored before this setting existed lack it, which means "shared".
    `rules_version` is set on the basis of a quote only: the version of the calculation rules, so that an offer keeps
    its amounts when a rule changes. Version 1 deducts a fixed discount in full even if little of the quote is accepted;
    version 2 deducts the accepted share. Versions 1 and 2 deduct a credited diagnosis fee from the repair labor before
    tax; version 3 from the fee itself.
    """

    currency: Currency
    minor_digits: Annotated[int, within(0, 4, "digits_wrong")]
    rounding: Rounding
    labor_rates: tuple[LaborRate, ...]
    labor_minimum_minor: Price
    diagnosis_fee_minor: Price
    credit_diagnosis: bool
    part_bands: Annotated[tuple[PartBand, ...], SeenWith(Permission.SEE_COST, instead=[])]
    supplies: Supplies
    travel: Travel
    deposit: DepositRule
    tolerance_percent: Percent
    terms: Annotated[Text, at_most(4000)]
    valid_days: Annotated[int, within(1, 365, "valid_days_out_of_range")]
    tax_profiles: tuple[TaxProfile, ...]
    storage: Storage = Storage()
    fixed_discount: Literal["shared", "full"] = "shared"
    rules_version: Annotated[int, within(1, RULES_VERSION, "rules_version_unknown")] = 1


def profile_on(profiles: Sequence[TaxProfile], on: date) -> TaxProfile | None:
    """The tax profile valid on a day; None if there is none."""
    for profile in profiles:
        if profile.from_on <= on and (profile.until_on is None or on <= profile.until_on):
            return profile
    return None


def basis_on(book: ShopPrices, on: date) -> ShopPrices | None:
    """The basis of a quote written on a day: the book with the tax profile valid then and the current rules version.

    None if no tax profile is valid on that day.
    """
    profile = profile_on(book.tax_profiles, on)
    if profile is None:
        return None
    return book.model_copy(update={"tax_profiles": (profile,), "rules_version": RULES_VERSION})
