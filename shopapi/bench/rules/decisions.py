"""Whether a measured value is within its limit, given how sure the gauge is.

The rule is that of ISO 14253-1 with the expanded uncertainty U (k = 2) as guard band: within where the value is inside
the limits by at least U, outside where it is beyond them by more than U, and between the two nothing can be said. (The
2017 edition's default guard band of 1.645 u is smaller, so this rule says "cannot say" more often; from memory.)
A go/no-go gauge gives an interval instead of a value. All figures of one call are in the same unit, as exact fractions;
a limit that is None is open on that side. Twin: `pwa/src/domain/bench/decisions.ts`; both run
`fixtures/bench/decisions.json`.
"""

from fractions import Fraction
from math import erfc, sqrt

from shopapi.core.enums import TextEnum

Bound = Fraction | None

# The expanded uncertainty U of a gauge is this many standard uncertainties.
COVERAGE = 2
# Below this ratio a gauge is too coarse for a limit: the 4:1 rule of ANSI/NCSL Z540.3, 5.3 b.
LEAST_RATIO = Fraction(4)


class Verdict(TextEnum):
    """What a reading says about its limit. no_limit: there is none."""

    WITHIN = "within"
    OUTSIDE = "outside"
    CANNOT_SAY = "cannot_say"
    NO_LIMIT = "no_limit"


def decide_value(value: Fraction, uncertainty: Fraction, low: Bound, high: Bound) -> Verdict:
    """The verdict on a measured value. Edges are inclusive: exactly high - U is within, high + U is not outside.

    >>> decide_value(Fraction("0.28"), Fraction("0.02"), Fraction("0.20"), Fraction("0.30")).value
    'within'
    """
    return decide_interval(value, value, uncertainty, low, high)


def decide_interval(goes: Bound, stops: Bound, uncertainty: Fraction, low: Bound, high: Bound) -> Verdict:
    """The verdict on a size between the largest blade that goes in and the smallest that does not, each sure to U.

    None: no blade went in, or all did; the size is then open on that side.

    >>> decide_interval(Fraction("0.25"), None, Fraction("0.01"), Fraction("0.20"), Fraction("0.30")).value
    'cannot_say'
    """
    if low is None and high is None:
        return Verdict.NO_LIMIT
    least = None if goes is None else goes - uncertainty
    most = None if stops is None else stops + uncertainty
    if (high is not None and least is not None and least > high) or (
        low is not None and most is not None and most < low
    ):
        return Verdict.OUTSIDE
    above_low = low is None or (least is not None and least >= low)
    below_high = high is None or (most is not None and most <= high)
    return Verdict.WITHIN if above_low and below_high else Verdict.CANNOT_SAY


def conformity(value: Fraction, uncertainty: Fraction, low: Bound, high: Bound) -> float | None:
    """The probability that the true value is within the limits: Phi((high - y) / u) - Phi((low - y) / u), u = U / 2.

    JCGM 106:2012 (formula from memory). None where there is no limit, or the gauge states no uncertainty.
    """
    if (low is None and high is None) or uncertainty <= 0:
        return None
    standard = uncertainty / COVERAGE
    below_high = 1.0 if high is None else normal(float((high - value) / standard))
    below_low = 0.0 if low is None else normal(float((low - value) / standard))
    return below_high - below_low


def normal(x: float) -> float:
    """The distribution function Phi of the standard normal distribution.

    >>> round(normal(1.4), 4)
    0.9192
    """
    return erfc(-x / sqrt(2)) / 2


def uncertainty_ratio(uncertainty: Fraction, low: Bound, high: Bound) -> Fraction | None:
    """Half the tolerance over the gauge's U (the test uncertainty ratio); None for a limit on one side, or without U.

    >>> round(float(uncertainty_ratio(Fraction("0.0089"), Fraction("0.20"), Fraction("0.30"))), 1)
    5.6
    """
    if low is None or high is None or uncertainty <= 0:
        return None
    return (high - low) / 2 / uncertainty


def is_too_coarse(uncertainty: Fraction, low: Bound, high: Bound) -> bool:
    """Whether a gauge is too coarse for a limit, which is said before anybody measures."""
    ratio = uncertainty_ratio(uncertainty, low, high)
    return ratio is not None and ratio < LEAST_RATIO


def agree(one: Fraction, uncertainty: Fraction, other: Fraction, other_uncertainty: Fraction) -> bool:
    """Whether two readings of the same thing agree: |y1 - y2| <= sqrt(U1^2 + U2^2), an En number of at most 1.

    ISO 13528, as used to compare laboratories (from memory). Exact, without the square root.
    """
    return (one - other) ** 2 <= uncertainty**2 + other_uncertainty**2
