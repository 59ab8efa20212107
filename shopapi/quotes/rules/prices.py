"""The price of one line by itself (rounding points R1 to R6 of `totals.py`).

Twin: `pwa/src/domain/quotes/prices.ts`.
"""

from dataclasses import dataclass
from fractions import Fraction

from shopapi.core.money import percent_of, round_half
from shopapi.quotes.rules.lines import QuoteLine
from shopapi.quotes.rules.price_book import LaborRate, ShopPrices


@dataclass(frozen=True)
class LinePrice:
    """What one line costs, in minor units.

    `unit` is the price of one hour, piece or unit of distance; None where quantity x unit is not the price: with a
    price for the whole, or travel with a free distance or a minimum.
    """

    unit: int | None
    gross: int
    discount: int
    core: int

    @property
    def charge(self) -> int:
        """The price of the line without the core charge, which is refunded."""
        return self.gross - self.discount

    @property
    def amount(self) -> int:
        """The amount of the line on the quote."""
        return self.charge + self.core


def price_line(book: ShopPrices, line: QuoteLine) -> LinePrice | None:
    """The price of a line of any kind but discount; None where figures for it are missing."""
    unit, gross = _gross(book, line)
    if gross is None:
        return None
    discount = line.discount_minor or 0
    if line.discount_percent is not None:
        discount = round_half(percent_of(gross, line.discount_percent), book.rounding)
    core = round_half(_quantity(line) * (line.core_minor or 0), book.rounding)
    return LinePrice(unit, gross, discount, core)


def labor_rate(book: ShopPrices, line: QuoteLine) -> LaborRate | None:
    """The rate of a labor line: the one it names, else the most specific match, else the first.

    Most specific: for this member and this work, then for the member, then for the work.
    """
    if line.rate_key is not None:
        return next((rate for rate in book.labor_rates if rate.key == line.rate_key), None)
    work = line.work or "repair"
    for wanted in ((line.member_id, work), (line.member_id, None), (None, work)):
        for rate in book.labor_rates:
            if wanted != (None, None) and (rate.member_id, rate.work) == wanted:
                return rate
    return next(iter(book.labor_rates), None)


def part_price(book: ShopPrices, line: QuoteLine) -> int | None:
    """The unit price of a part: the set price, else cost and the mark-up of its band; None: neither."""
    if line.unit_price_minor is not None:
        return line.unit_price_minor
    cost = line.unit_cost_minor
    if cost is None:
        return None
    for band in book.part_bands:
        if band.up_to_minor is None or cost <= band.up_to_minor:
            return round_half(cost + percent_of(cost, band.markup_percent), book.rounding)
    return None


def _gross(book: ShopPrices, line: QuoteLine) -> tuple[int | None, int | None]:
    """The unit price and the price of the whole line, before its discount."""
    if line.fixed_minor is not None:
        return None, line.fixed_minor
    match line.kind:
        case "labor":
            return _hours_price(book, line)
        case "travel":
            return _travel_price(book, line)
        case "fee" if line.work == "diagnosis" and line.unit_price_minor is None:
            return None, book.diagnosis_fee_minor
        case _:
            unit = part_price(book, line)
            return unit, None if unit is None else round_half(_quantity(line) * unit, book.rounding)


def _hours_price(book: ShopPrices, line: QuoteLine) -> tuple[int | None, int | None]:
    rate = labor_rate(book, line)
    if line.hours is None or rate is None:
        return None, None
    unit = rate.minor_per_hour
    return unit, round_half(Fraction(line.hours) * unit, book.rounding)


def _travel_price(book: ShopPrices, line: QuoteLine) -> tuple[int | None, int | None]:
    travel = book.travel
    if travel.mode == "zone":
        return None, next((zone.minor for zone in travel.zones if zone.key == line.zone_key), None)
    if line.distance is None:
        return None, None
    past_free = Fraction(line.distance) - Fraction(travel.free_units)
    if past_free <= 0:
        return None, 0
    unit = travel.minor_per_unit
    charge = round_half(past_free * unit, book.rounding)
    if travel.free_units or charge < travel.minimum_minor:
        return None, max(charge, travel.minimum_minor)
    return unit, charge


def _quantity(line: QuoteLine) -> Fraction:
    return Fraction(1 if line.quantity is None else line.quantity)
