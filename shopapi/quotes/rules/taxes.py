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


def tax_of(amount: int, profile: TaxProfile, rates: Sequence[TaxRate] | None = None) -> int:
    """The tax by some rates of a profile (None: all) on one amount, rounded once (T1).

    Added to the amount, or included in it where prices include the tax of all rates.
    Half a cent: 1,460.50 at 25 % is 365.125, so 365.13 (EN 16931, ubl-tc434-example2).
    """
    rate = _sum_of(profile.rates if rates is None else rates)
    exact = amount * rate / (1 + _sum_of(profile.rates)) if profile.inclusive else amount * rate
    return round_half(exact, profile.rounding)


def _sum_of(rates: Sequence[TaxRate]) -> Fraction:
    return sum((Fraction(rate.percent) for rate in rates), Fraction(0)) / 100


def tax_on(profile: TaxProfile, amounts: Sequence[int], *, exempt: bool) -> Tax:
    """The tax on amounts, all of them taxed; `exempt`: for a customer who pays none."""
    by_line = profile.per == "line"
    base = sum(amounts)
    bases = amounts if by_line else [base]
    if profile.rates_rounded == "each":
        by_rate = [[tax_of(one, profile, [rate]) for one in bases] for rate in profile.rates]
        each = [sum(taxes[at] for taxes in by_rate) for at in range(len(bases))]
        shares = [sum(taxes) for taxes in by_rate]
    else:
        each = [tax_of(one, profile) for one in bases]
        # Rates have at most six decimal digits, so in millionths each is an integer weight.
        shares = share_out(sum(each), [int(rate.percent * 1_000_000) for rate in profile.rates])
    whole = sum(each)
    if exempt:
        nothing = 0 if by_line else None
        return Tax(0, [nothing] * len(amounts), whole if profile.inclusive else 0, ())
    return Tax(whole, [*each] if by_line else [None] * len(amounts), 0, _rows(profile, base, shares))


def _rows(profile: TaxProfile, base: int, shares: Sequence[int]) -> tuple[TaxRow, ...]:
    """The tax on `base`: one row per rate with its share."""
    if not base:
        return ()
    return tuple(
        TaxRow(
            key=rate.key,
            label=rate.label,
            percent=rate.percent,
            base_minor=base - sum(shares) if profile.inclusive else base,
            tax_minor=share,
        )
        for rate, share in zip(profile.rates, shares, strict=True)
    )
