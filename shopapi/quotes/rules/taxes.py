"""Tax by profile (rounding point T1 and the shares S1 of `totals.py`).

Twin: `pwa/src/domain/quotes/taxes.ts`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from shopapi.core.money import round_half, share_out
from shopapi.core.schema import DecimalText, Schema
from shopapi.quotes.rules.lines import LineKind
from shopapi.quotes.rules.price_book import TaxProfile, TaxRate


class TaxRow(Schema):
    """One rate's share of the tax; `base_minor` is the amount taxed, without the tax."""

    key: str
    label: str
    percent: DecimalText
    base_minor: int
    tax_minor: int


def is_taxed(profile: TaxProfile, kind: LineKind, *, with_parts: bool) -> bool:
    """Whether the profile taxes a kind of line; `with_parts`: the shop supplies a part too."""
    if profile.lumped:
        return kind != "discount"
    match kind:
        case "labor":
            return profile.labor == "always" or (profile.labor == "when_parts_supplied" and with_parts)
        case "part":
            return profile.part
        case "travel":
            return profile.travel
        case "fee":
            return profile.fee
        case "supplies":
            return profile.supplies
        case "discount":
            return False


@dataclass(frozen=True)
class Tax:
    """The tax on some amounts.

    whole      the tax due
    each       the tax of each amount; None where tax is rounded once for the whole
    taken_out  the tax included in prices, removed for an exempt customer
    rows       the tax due by rate; empty when nothing is taxed
    """

    whole: int
    each: list[int | None]
    taken_out: int
    rows: tuple[TaxRow, ...]


def rates_of(profile: TaxProfile, kind: LineKind) -> tuple[TaxRate, ...]:
    """The rates of a profile that apply to a kind of line: those for everything, and those for this kind."""
    return tuple(rate for rate in profile.rates if rate.of is None or kind in rate.of)


def _exactly(amount: int, kind: LineKind, profile: TaxProfile, rates: Sequence[TaxRate]) -> Fraction:
    """The tax on an amount by those of some rates that apply to its kind: added to it, or included in it."""
    own = rates_of(profile, kind)
    tax = amount * _sum_of([rate for rate in rates if rate in own])
    return tax / (1 + _sum_of(own)) if profile.inclusive else tax


def _sum_of(rates: Sequence[TaxRate]) -> Fraction:
    return sum((Fraction(rate.percent) for rate in rates), Fraction(0)) / 100


Amount = tuple[int, LineKind]


def tax_on(profile: TaxProfile, amounts: Sequence[int], kinds: Sequence[LineKind], *, exempt: bool) -> Tax:
    """The tax on amounts of these kinds of line, all of them taxed; `exempt`: for a customer who pays none.

    What is rounded once (T1) is a line, or else a class: all amounts with the same rates. Where rates are rounded each
    by itself and prices are without tax, each is rounded once on all that it applies to. Half a cent: 1,460.50 at 25 %
    is 365.125, so 365.13 (EN 16931, ubl-tc434-example2).
    """
    by_line = profile.per == "line"
    given = list(zip(amounts, kinds, strict=True))
    units = [[one] for one in given] if by_line else _classes(profile, given)
    if profile.rates_rounded == "each":
        each, shares = _by_rate(profile, units if by_line or profile.inclusive else [given])
    else:
        each, shares = _together(profile, units)
    whole = sum(each)
    if exempt:
        nothing = 0 if by_line else None
        return Tax(0, [nothing] * len(amounts), whole if profile.inclusive else 0, ())
    rows = _rows(profile, given, units, each, shares)
    return Tax(whole, [*each] if by_line else [None] * len(amounts), 0, rows)


def _classes(profile: TaxProfile, amounts: Sequence[Amount]) -> list[list[Amount]]:
    """The amounts by the rates that apply to them, in the order of the first of each."""
    found: dict[tuple[str, ...], list[Amount]] = {}
    for one in amounts:
        found.setdefault(tuple(rate.key for rate in rates_of(profile, one[1])), []).append(one)
    return list(found.values())


def _by_rate(profile: TaxProfile, units: Sequence[Sequence[Amount]]) -> tuple[list[int], list[int]]:
    """Every rate rounded by itself: the tax of each unit, and of each rate."""
    taxes = [
        [
            round_half(
                sum((_exactly(amount, kind, profile, [rate]) for amount, kind in unit), Fraction(0)), profile.rounding
            )
            for unit in units
        ]
        for rate in profile.rates
    ]
    return [sum(of_rate[at] for of_rate in taxes) for at in range(len(units))], [sum(of_rate) for of_rate in taxes]


def _together(profile: TaxProfile, units: Sequence[Sequence[Amount]]) -> tuple[list[int], list[int]]:
    """The sum of all rates rounded once for each unit; what a class comes to is split among its rates (S1)."""
    each: list[int] = []
    of_class: dict[tuple[TaxRate, ...], int] = {}
    for unit in units:
        exact = sum((_exactly(amount, kind, profile, profile.rates) for amount, kind in unit), Fraction(0))
        each.append(round_half(exact, profile.rounding))
        rates = rates_of(profile, unit[0][1]) if unit else ()
        of_class[rates] = of_class.get(rates, 0) + each[-1]
    shares = dict.fromkeys(profile.rates, 0)
    for rates, tax in of_class.items():
        # Rates have at most six decimal digits, so in millionths each is an integer weight.
        weights = [int(rate.percent * 1_000_000) for rate in rates]
        size = share_out(abs(tax), weights) if sum(weights) else [0] * len(weights)
        for rate, share in zip(rates, size, strict=True):
            shares[rate] += share if tax >= 0 else -share
    return each, list(shares.values())


def _rows(
    profile: TaxProfile,
    amounts: Sequence[Amount],
    units: Sequence[Sequence[Amount]],
    each: Sequence[int],
    shares: Sequence[int],
) -> tuple[TaxRow, ...]:
    """One row per rate that applies to anything: its share, and what it applies to without the tax."""
    rows = []
    for rate, share in zip(profile.rates, shares, strict=True):
        taxed = [one for one in amounts if rate in rates_of(profile, one[1])]
        if not any(amount for amount, _ in taxed):
            continue
        base = sum(amount for amount, _ in taxed)
        if profile.inclusive:
            base -= sum(tax for unit, tax in zip(units, each, strict=True) if rate in rates_of(profile, unit[0][1]))
        rows.append(TaxRow(key=rate.key, label=rate.label, percent=rate.percent, base_minor=base, tax_minor=share))
    return tuple(rows)
