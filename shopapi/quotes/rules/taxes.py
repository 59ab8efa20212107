"""Tax by profile (rounding point T1 and the shares S1 of `reckoning.py`).

Twin: `pwa/src/domain/taxes.ts`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from shopapi.core.money import round_half, share_out
from shopapi.core.shape import DecimalText, Shape
from shopapi.quotes.rules.book import TaxProfile
from shopapi.quotes.rules.lines import LineKind


class TaxRow(Shape):
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

    whole      what is owed
    each       of each amount by itself; None where tax is rounded once for the whole
    taken_out  what prices that hold the tax held of it, for a customer who pays none
    rows       the whole, by rate; none when nothing is taxed
    """

    whole: int
    each: list[int | None]
    taken_out: int
    rows: tuple[TaxRow, ...]


def tax_of(amount: int, profile: TaxProfile) -> int:
    """All rates of a profile on one amount together (T1): on top of it, or out of it when inclusive.

    Half a cent: 1,460.50 at 25 % is 365.125, so 365.13 (EN 16931, ubl-tc434-example2).
    """
    rate = sum((Fraction(rate.percent) for rate in profile.rates), Fraction(0)) / 100
    return round_half(amount * rate / (1 + rate) if profile.inclusive else amount * rate, profile.rounding)


def tax_on(profile: TaxProfile, amounts: Sequence[int], *, exempt: bool) -> Tax:
    """The tax on amounts, all of them taxed; `exempt`: for a customer who pays none."""
    by_line = profile.per == "line"
    base = sum(amounts)
    each = [tax_of(amount, profile) for amount in amounts] if by_line else [tax_of(base, profile)]
    whole = sum(each)
    if exempt:
        nothing = 0 if by_line else None
        return Tax(0, [nothing] * len(amounts), whole if profile.inclusive else 0, ())
    return Tax(whole, [*each] if by_line else [None] * len(amounts), 0, _rows(profile, base, whole))


def _rows(profile: TaxProfile, base: int, whole: int) -> tuple[TaxRow, ...]:
    """The tax on `base` cut into its rates (S1)."""
    if not base:
        return ()
    # Rates have six digits after the point at most: in millionths each is a whole weight.
    shares = share_out(whole, [int(rate.percent * 1_000_000) for rate in profile.rates])
    return tuple(
        TaxRow(
            key=rate.key,
            label=rate.label,
            percent=rate.percent,
            base_minor=base - whole if profile.inclusive else base,
            tax_minor=share,
        )
        for rate, share in zip(profile.rates, shares, strict=True)
    )
