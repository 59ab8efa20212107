"""A straight line through points of several groups that share its slope, and Student's t distribution.

Ordinary least squares with an intercept for each group: the slope is taken within the groups. A prediction of one more
point x of a group with n points has the variance s² (1 + 1/n + (x - mean of the group)² / Sxx), where s² is the sum of
squared residuals over points - groups - 1 degrees of freedom; with one group this is simple linear regression. Sums are
taken around the means, in two passes: certified values of NIST are met to 12 digits.
Twin: `pwa/src/domain/machines/regression.ts`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, inf, lgamma, log, log1p, sqrt

Point = tuple[float, float]
# Steps of a continued fraction and of a bisection; both end long before.
MOST_STEPS = 300
SMALLEST = 1e-300


@dataclass(frozen=True)
class FittedLine:
    """The line of the last group. `spread`: standard deviation of the residuals; None without degrees of freedom."""

    slope: float
    mean_x: float
    mean_y: float
    count: int
    sxx: float
    freedom: int
    spread: float | None

    def at(self, x: float) -> float:
        return self.mean_y + self.slope * (x - self.mean_x)

    def deviation(self, x: float) -> float | None:
        """The standard deviation of one more point at x around the line."""
        if self.spread is None:
            return None
        return self.spread * sqrt(1 + 1 / self.count + (x - self.mean_x) ** 2 / self.sxx)


def fit_line(groups: Sequence[Sequence[Point]]) -> FittedLine | None:
    """The line through the points of these groups; None where no group has two points with different x."""
    filled = [group for group in groups if group]
    if not filled:
        return None
    means = [(sum(x for x, _ in group) / len(group), sum(y for _, y in group) / len(group)) for group in filled]
    paired = [(x - mx, y - my) for group, (mx, my) in zip(filled, means, strict=True) for x, y in group]
    sxx = sum(x * x for x, _ in paired)
    if sxx <= 0:
        return None
    slope = sum(x * y for x, y in paired) / sxx
    freedom = len(paired) - len(filled) - 1
    squares = sum((y - slope * x) ** 2 for x, y in paired)
    spread = sqrt(squares / freedom) if freedom > 0 else None
    return FittedLine(slope, *means[-1], len(filled[-1]), sxx, freedom, spread)


def t_below(t: float, freedom: int) -> float:
    """The chance that a value of Student's t distribution is at most t.

    >>> t_below(0.0, 5)
    0.5
    """
    if t * t < freedom:
        middle = 0.5 * _incomplete_beta(0.5, freedom / 2, t * t / (freedom + t * t))
        return 0.5 + middle if t > 0 else 0.5 - middle
    tail = 0.5 * _incomplete_beta(freedom / 2, 0.5, freedom / (freedom + t * t))
    return 1 - tail if t > 0 else tail


def t_quantile(chance: float, freedom: int) -> float:
    """The value that is not passed with this chance.

    >>> round(t_quantile(0.975, 10), 3)
    2.228
    """
    if not 0 < chance < 1:
        return inf if chance >= 1 else -inf
    low, high = -1.0, 1.0
    while t_below(low, freedom) > chance:
        low *= 2
    while t_below(high, freedom) < chance:
        high *= 2
    for _ in range(MOST_STEPS):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        low, high = (middle, high) if t_below(middle, freedom) < chance else (low, middle)
    return (low + high) / 2


def _incomplete_beta(a: float, b: float, x: float) -> float:
    """The regularized incomplete beta function, by its continued fraction (DLMF 8.17.22, from memory)."""
    if x <= 0 or x >= 1:
        return 0.0 if x <= 0 else 1.0
    if x > (a + 1) / (a + b + 2):
        return 1 - _incomplete_beta(b, a, 1 - x)
    front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log1p(-x)) / a
    # Lentz's method: c and d are the ratios of successive numerators and denominators.
    c, d = 1.0, 1 / _not_zero(1 - (a + b) * x / (a + 1))
    value = d
    for m in range(1, MOST_STEPS):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        before = value
        for step in (even, odd):
            d = 1 / _not_zero(1 + step * d)
            c = _not_zero(1 + step / c)
            value *= c * d
        if abs(value - before) <= abs(value) * 1e-16:
            break
    return front * value


def _not_zero(value: float) -> float:
    return value if abs(value) > SMALLEST else SMALLEST
