"""What a number of good starts says about a fault that comes and goes.

Each start is taken as independent of the others, with the same chance of showing the fault. Twin:
`pwa/src/domain/bench/startBounds.ts`; both run the vectors of `fixtures/bench/start_bounds.json`.
"""

from math import ceil, exp, lgamma, log, log1p

# How often the true rate is above the bound.
DOUBT = 0.05
_STEPS = 60


def missed_share(rate: float, tries: int) -> float:
    """How often a fault that shows in `rate` of the tries is missed in all of them: (1 - rate)^tries.

    Raises ValueError for a rate outside 0 to 1 or a negative number of tries.

    >>> round(missed_share(0.2, 12), 4)
    0.0687
    """
    if not 0 <= rate <= 1 or tries < 0:
        raise ValueError("outside")
    return float((1 - rate) ** tries)


def highest_rate(tries: int, bad: int, doubt: float = DOUBT) -> float:
    """The fault rate that `bad` of `tries` leaves possible: the one-sided upper limit of Clopper and Pearson (1934).

    Without a bad try it is 1 - doubt^(1/tries), near the "rule of three" 3/tries. Raises ValueError for `bad` outside 0
    to `tries`.

    >>> round(highest_rate(12, 0), 4), highest_rate(3, 3)
    (0.2209, 1.0)
    """
    if not 0 <= bad <= tries:
        raise ValueError("outside")
    if bad == tries:
        return 1.0
    if bad == 0:
        return float(1 - doubt ** (1 / tries))
    low, high = bad / tries, 1.0
    for _ in range(_STEPS):
        middle = (low + high) / 2
        if _share_of_at_most(bad, tries, middle) > doubt:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _share_of_at_most(bad: int, tries: int, rate: float) -> float:
    """The chance of at most `bad` in `tries`: the binomial distribution, in logarithms so that nothing overflows."""
    if rate >= 1:
        return 0.0
    whole = lgamma(tries + 1)
    return sum(
        exp(whole - lgamma(k + 1) - lgamma(tries - k + 1) + k * log(rate) + (tries - k) * log1p(-rate))
        for k in range(bad + 1)
    )


def needed_tries(rate: float, doubt: float = DOUBT) -> int:
    """How many tries, all good, rule out a fault rate of `rate` or more. Raises ValueError for a rate outside 0 to 1.

    >>> needed_tries(0.2), needed_tries(0.1)
    (14, 29)
    """
    if not 0 < rate < 1:
        raise ValueError("outside")
    return ceil(log(doubt) / log(1 - rate))
