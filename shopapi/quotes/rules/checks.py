"""Checks across the fields of a price book or a quote, made before totals are computed.

Limits of single fields are in the schemas (`price_book.py`, `lines.py`) and are checked first, by
`core.schema.parse`. Refusals are sorted by field, then code. Twin: `pwa/src/domain/quotes/checks.ts`.
"""

from collections.abc import Collection, Iterable, Sequence
from datetime import timedelta
from uuid import UUID

from shopapi.core.enums import values_of
from shopapi.core.errors import FieldError
from shopapi.core.money import minor_digits
from shopapi.quotes.rules.lines import ALL_FIGURES, FIGURES, Discount, QuoteLine
from shopapi.quotes.rules.price_book import PartBand, ShopPrices, TaxedKind, TaxProfile
from shopapi.quotes.rules.prices import price_line
from shopapi.quotes.rules.taxes import rates_of
from shopapi.quotes.rules.totals import add_charges, is_diagnosis_fee, wanted_discounts
from shopapi.quotes.rules.wording import refusal

MOST_LINES = 200
TAXED: tuple[TaxedKind, ...] = values_of(TaxedKind)
MOST_ON_A_LINE = 10**10


def check_book(book: ShopPrices) -> list[FieldError]:
    """The errors of a price book, with paths such as "tax_profiles.1.from_on"; empty: none."""
    found = []
    if book.minor_digits != minor_digits(book.currency):
        found.append(refusal("minor_digits", "digits_wrong"))
    if not book.labor_rates:
        found.append(refusal("labor_rates", "rates_missing"))
    found += _check_keys("labor_rates", [rate.key for rate in book.labor_rates])
    found += _check_bands(book.part_bands)
    supplies = book.supplies
    if supplies.cap_minor is not None and supplies.cap_minor < supplies.floor_minor:
        found.append(refusal("supplies.cap_minor", "cap_below_floor"))
    if (supplies.percent or supplies.floor_minor) and not supplies.of:
        found.append(refusal("supplies.of", "supplies_of_nothing"))
    if book.travel.mode == "zone" and not book.travel.zones:
        found.append(refusal("travel.zones", "zones_missing"))
    found += _check_keys("travel.zones", [zone.key for zone in book.travel.zones])
    found += _check_profiles(book.tax_profiles)
    return _sorted(found)


def check_lines(
    book: ShopPrices,
    lines: Sequence[QuoteLine],
    *,
    accepted: Collection[UUID] | None = None,
    discount: Discount | None = None,
    currency: str | None = None,
) -> list[FieldError]:
    """The errors of a quote on its basis, with paths such as "lines.2.hours"; empty: none.

    `currency` is the one the quote was written in; None: not checked.
    """
    found = []
    if currency is not None and currency != book.currency:
        found.append(refusal("currency", "currency_foreign"))
    if len(lines) > MOST_LINES:
        found.append(refusal("lines", "lines_too_many"))
    for at, line in enumerate(lines):
        found += [refusal(f"lines.{at}{field}", code) for field, code in _check_line(book, line)]
        if any(line.id == other.id for other in lines[:at]):
            found.append(refusal(f"lines.{at}.id", "line_twice"))
    for at in [at for at, line in enumerate(lines) if is_diagnosis_fee(line)][1:]:
        found.append(refusal(f"lines.{at}.work", "fee_twice"))
    if accepted is not None and not {line.id for line in lines}.issuperset(accepted):
        found.append(refusal("accepted", "line_unknown"))
    if discount is not None and discount.percent is not None and discount.minor is not None:
        found.append(refusal("discount", "discount_twice"))
    return _sorted(found or _check_discounts(book, lines, discount))


def _check_line(book: ShopPrices, line: QuoteLine) -> list[tuple[str, str]]:
    """Pairs of a field of the line (".hours", or "" for the whole line) and a code."""
    strangers = [f".{name}" for name in ALL_FIGURES - FIGURES[line.kind] if getattr(line, name) is not None]
    if strangers:
        return [(field, "not_for_kind") for field in strangers]
    if line.discount_percent is not None and line.discount_minor is not None:
        return [(".discount_minor", "discount_twice")]
    if line.fixed_minor is not None and line.unit_price_minor is not None:
        return [(".fixed_minor", "price_twice")]
    if line.rate_key is not None and line.rate_key not in {rate.key for rate in book.labor_rates}:
        return [(".rate_key", "rate_unknown")]
    if line.zone_key is not None and line.zone_key not in {zone.key for zone in book.travel.zones}:
        return [(".zone_key", "zone_unknown")]
    return list(_check_price(book, line))


def _check_price(book: ShopPrices, line: QuoteLine) -> Iterable[tuple[str, str]]:
    if line.kind == "discount":
        if line.discount_percent is None and line.discount_minor is None:
            yield "", "price_missing"
        return
    price = price_line(book, line)
    if price is None:
        yield "", "price_missing"
        return
    if not min(price.gross, 0) <= price.discount <= max(price.gross, 0):
        yield ".discount_minor", "discount_exceeds_line"
    if abs(price.gross + price.core) > MOST_ON_A_LINE:
        yield "", "amount_out_of_range"


def _check_discounts(book: ShopPrices, lines: Sequence[QuoteLine], discount: Discount | None) -> Iterable[FieldError]:
    whole = add_charges(book, lines, None).whole
    if wanted_discounts(book, lines, discount, whole, offered=whole).off > max(whole, 0):
        yield refusal("discount", "discount_exceeds_quote")


def _check_keys(path: str, keys: Sequence[str]) -> Iterable[FieldError]:
    for at, key in enumerate(keys):
        if key in keys[:at]:
            yield refusal(f"{path}.{at}.key", "key_twice")


def _check_bands(bands: Sequence[PartBand]) -> Iterable[FieldError]:
    for at, band in enumerate(bands):
        if (band.up_to_minor is None) != (at == len(bands) - 1):
            yield refusal(f"part_bands.{at}.up_to_minor", "bands_last_open")
        before = bands[at - 1].up_to_minor if at else None
        if before is not None and band.up_to_minor is not None and band.up_to_minor <= before:
            yield refusal(f"part_bands.{at}.up_to_minor", "bands_not_ascending")


def _check_profiles(profiles: Sequence[TaxProfile]) -> Iterable[FieldError]:
    if not profiles:
        yield refusal("tax_profiles", "profile_missing")
    yield from _check_keys("tax_profiles", [profile.key for profile in profiles])
    for at, profile in enumerate(profiles):
        path = f"tax_profiles.{at}"
        if profile.until_on is not None and profile.until_on < profile.from_on:
            yield refusal(f"{path}.until_on", "dates_reversed")
        yield from _check_keys(f"{path}.rates", [rate.key for rate in profile.rates])
        if any(sum(rate.percent for rate in rates_of(profile, kind)) > 100 for kind in TAXED):
            yield refusal(f"{path}.rates", "rates_too_high")
        for place, rate in enumerate(profile.rates):
            if rate.of is not None and not rate.of:
                yield refusal(f"{path}.rates.{place}.of", "rate_of_nothing")
        if at:
            until = profiles[at - 1].until_on
            if until is None or profile.from_on <= until:
                yield refusal(f"{path}.from_on", "profile_overlap")
            elif profile.from_on - until > timedelta(days=1):
                yield refusal(f"{path}.from_on", "profile_gap")


def _sorted(found: Iterable[FieldError]) -> list[FieldError]:
    return sorted(found, key=lambda error: (error.field, error.code))
