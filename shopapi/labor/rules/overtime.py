"""Overtime beyond the weekly threshold, and weekly pay by the regular rate.

The regular rate is all pay of the week, at whatever rates and with the bonus, over all its hours; each hour beyond the
threshold earns the multiplier less one of it on top (29 CFR 778.109, .110, .115). Daily overtime of some states is not
covered: check local law.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

HOUR = 3600


@dataclass(frozen=True)
class PaidTime:
    """Seconds at one rate, in minor units per hour."""

    seconds: int
    minor_per_hour: Fraction


@dataclass(frozen=True)
class WeekPay:
    """Pay of one week in minor units; the regular rate is exact, per hour."""

    seconds: int
    over_seconds: int
    straight_minor: Fraction
    regular_rate: Fraction
    premium_minor: Fraction

    @property
    def total_minor(self) -> int:
        """The whole pay, rounded once, half up."""
        return round_to_minor(self.straight_minor + self.premium_minor)


def overtime_seconds(seconds: int, after_hours: Decimal) -> int:
    """The seconds of a week beyond `after_hours`."""
    return max(0, seconds - int(after_hours * HOUR))


def compute_week_pay(
    paid: Sequence[PaidTime], *, bonus_minor: int, after_hours: Decimal, multiplier: Decimal
) -> WeekPay:
    """Pay of one member's week; without worked time it is the bonus."""
    seconds = sum(part.seconds for part in paid)
    straight = sum((Fraction(part.seconds, HOUR) * part.minor_per_hour for part in paid), Fraction(bonus_minor))
    rate = straight * HOUR / seconds if seconds else Fraction(0)
    beyond = overtime_seconds(seconds, after_hours)
    premium = Fraction(beyond, HOUR) * rate * (Fraction(multiplier) - 1)
    return WeekPay(seconds, beyond, straight, rate, premium)


def round_to_minor(amount: Fraction) -> int:
    """Round to whole minor units, half up."""
    exact = Decimal(amount.numerator) / Decimal(amount.denominator)
    return int(exact.quantize(Decimal(1), rounding=ROUND_HALF_UP))
