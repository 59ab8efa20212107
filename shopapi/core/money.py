"""Exact money: integer minor units, and the few functions that round to them.

Figures between those places are `Fraction`, so nothing is rounded that a docstring does not name.
Twin: `pwa/src/domain/numbers/money.ts`; `tests/quotes/test_twin.py` compares both.
"""

import re
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from typing_extensions import TypeAliasType

Rounding = TypeAliasType("Rounding", Literal["half_up", "half_down", "half_away"])
"""How exactly half a minor unit is rounded; anything else goes to the nearest.

half_up    towards plus infinity (AU GST Act 9-90: "rounding 0.5 cents upwards")
half_down  towards zero, the half is disregarded (NZ Tax Administration / GST Act s 19O)
half_away  away from zero, credits too (EN 16931, BR-CO-17)
"""

NO_DIGITS = re.compile("BIF|CLP|DJF|GNF|ISK|JPY|KMF|KRW|PYG|RWF|UGX|UYI|VND|VUV|XAF|XOF|XPF")
THREE_DIGITS = re.compile("BHD|IQD|JOD|KWD|LYD|OMR|TND")
FOUR_DIGITS = re.compile("CLF|UYW")


def minor_digits(currency: str) -> int:
    """How many decimal digits `currency` (three capitals) has, by ISO 4217: JPY 0, USD 2, KWD 3, CLF 4."""
    if NO_DIGITS.fullmatch(currency):
        return 0
    if THREE_DIGITS.fullmatch(currency):
        return 3
    return 4 if FOUR_DIGITS.fullmatch(currency) else 2


def round_half(exact: Fraction, rounding: Rounding) -> int:
    """The whole number nearest to `exact`; a tie goes where `rounding` says.

    >>> round_half(Fraction("36512.5"), "half_away"), round_half(Fraction("-0.5"), "half_up")
    (36513, 0)
    """
    floor, rest = divmod(exact.numerator, exact.denominator)
    twice = 2 * rest
    if twice != exact.denominator:
        return floor + (twice > exact.denominator)
    match rounding:
        case "half_up":
            return floor + 1
        case "half_away":
            return floor + (exact >= 0)
        case "half_down":
            return floor + (exact < 0)


def round_to_step(exact: Fraction, step: int, rounding: Rounding) -> int:
    """The multiple of `step` (at least 1) nearest to `exact`, rounded once."""
    return round_half(exact / step, rounding) * step


def percent_of(amount: int | Fraction, percent: Decimal) -> Fraction:
    """Exactly `percent` hundredths of `amount`; 6.25 means 6.25 %."""
    return amount * Fraction(percent) / 100


def share_out(amount: int, weights: Sequence[int]) -> list[int]:
    """Split `amount` into whole shares in proportion to `weights`; they add up to it.

    Each share is first cut down to a whole unit; the units left over go one each to the largest
    remainders, ties to the earlier weight. `amount` and the sum of the weights are zero or more; with
    `amount` no greater than that sum, no share is farther from zero than its weight. A weight below zero,
    of what is taken back, gets a share below zero.

    >>> share_out(100, [1, 1, 1])
    [34, 33, 33]
    >>> share_out(8, [100, -20])
    [10, -2]
    """
    whole = sum(weights)
    if whole <= 0:
        if amount:
            raise ValueError("nothing to share the amount among")
        return [0] * len(weights)
    shares = [amount * weight // whole for weight in weights]
    remainders = [amount * weight % whole for weight in weights]
    by_remainder = sorted(range(len(weights)), key=lambda i: (-remainders[i], i))
    for i in by_remainder[: amount - sum(shares)]:
        shares[i] += 1
    return shares


def plain_amount(minor: int, digits: int) -> str:
    """Minor units as plain text with a full stop: (-5, 2) is "-0.05", (5, 0) is "5"."""
    figures = str(abs(minor)).rjust(digits + 1, "0")
    whole, part = figures[: len(figures) - digits], figures[len(figures) - digits :]
    return ("-" if minor < 0 else "") + (f"{whole}.{part}" if digits else whole)


def decimal_amount(minor: int, digits: int) -> Decimal:
    """Minor units as a number of whole units with all digits: (-5, 2) is -0.05, (500, 2) is 5.00."""
    return Decimal(minor).scaleb(-digits)


def plain_decimal(number: Decimal) -> str:
    """A decimal as plain text without needless zeros: 1.50 is "1.5", 100 is "100", -0 is "0"."""
    text = format(number, "f")
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
