"""Hours to quote: the vectors of both twins, the published ranks, and the coverage on random times."""

import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.stats import binom

from shopapi.labor.rules.history import OperationTimes, coverage_so_far, family_of, ranks, typical, upper_rank

VECTORS = json.loads((Path(__file__).parents[2] / "fixtures" / "labor" / "history.json").read_text())
SEED = 20261125
DRAWS = 20_000
# A correct rule would fail this once in a million runs; the seed is fixed, so it fails never or always.
SURE = 1e-6


@pytest.mark.parametrize("case", VECTORS["ranks"])
def test_ranks(case: dict[str, Any]) -> None:
    found = ranks(case["n"], case["coverage"])
    assert found == (tuple(case["ranks"]) if case["ranks"] else None)


@pytest.mark.parametrize("n", range(1, 120))
@pytest.mark.parametrize("coverage", [80, 90])
def test_no_two_ranks_closer_together_cover_as_much(n: int, coverage: int) -> None:
    """Held to the published identity: an interval from the r-th to the s-th of n covers (s - r)/(n + 1).

    Hahn and Meeker, Statistical Intervals, on distribution-free prediction intervals; from memory.
    """
    covering = [
        (s - r, r, s) for r in range(1, n + 1) for s in range(r + 1, n + 1) if 100 * (s - r) >= coverage * (n + 1)
    ]
    found = ranks(n, coverage)
    if not covering:
        assert found is None
        return
    assert found is not None
    r, s = found
    assert s - r == min(covering)[0]
    assert 1 <= r <= s <= n
    # As many gaps are left out at either end, or one more at the upper.
    assert (n + 1 - s) - r in (0, 1)


@pytest.mark.parametrize("case", VECTORS["upper"])
def test_upper_ranks(case: dict[str, Any]) -> None:
    assert upper_rank(case["n"], case["miss"]) == case["rank"]


@pytest.mark.parametrize(("kind", "family"), VECTORS["families"])
def test_families(kind: str, family: str) -> None:
    assert family_of(kind) == family


@pytest.mark.parametrize("case", VECTORS["typical"], ids=lambda case: case["says"])
def test_what_is_typical(case: dict[str, Any]) -> None:
    found = typical([OperationTimes(**kind) for kind in case["kinds"]], case["machine_kind"])
    assert asdict(found) == case["is"]


@pytest.mark.parametrize(
    ("n", "coverage"), [(9, 80), (14, 80), (18, 80), (19, 80), (19, 90), (24, 80), (39, 90), (25, 80)]
)
def test_the_stated_share_of_next_jobs_falls_between(n: int, coverage: int) -> None:
    """The share is exactly (s - r)/(n + 1) whatever the shape; here log-normal times, held to binomial bounds."""
    found = ranks(n, coverage)
    assert found is not None
    r, s = found
    drawn = np.random.default_rng(SEED + n + coverage).lognormal(4, 0.7, (DRAWS, n + 1))
    earlier, following = np.sort(drawn[:, :n], axis=1), drawn[:, n]
    held = int(np.sum((earlier[:, r - 1] <= following) & (following <= earlier[:, s - 1])))
    exact = (s - r) / (n + 1)
    assert exact >= coverage / 100
    assert binom.ppf(SURE, DRAWS, exact) <= held <= binom.ppf(1 - SURE, DRAWS, exact)


@pytest.mark.parametrize(("n", "miss"), [(9, 10), (19, 10), (30, 20)])
def test_the_bound_is_kept_as_often_as_it_says(n: int, miss: int) -> None:
    """Split-conformal: P(next <= x_k) = k/(n + 1), at least 1 - a and less than 1 - a + 1/(n + 1)."""
    k = upper_rank(n, miss)
    assert k is not None
    drawn = np.random.default_rng(SEED + n).gamma(2, 30, (DRAWS, n + 1))
    held = int(np.sum(drawn[:, n] <= np.sort(drawn[:, :n], axis=1)[:, k - 1]))
    exact = k / (n + 1)
    assert 1 - miss / 100 <= exact < 1 - miss / 100 + 1 / (n + 1) + 1e-12
    assert binom.ppf(SURE, DRAWS, exact) <= held <= binom.ppf(1 - SURE, DRAWS, exact)


def test_nothing_is_said_of_how_often_the_hours_of_other_kinds_hold() -> None:
    """One own job that takes 2.5 times as long as the eleven of its family: 8 of 10 would be far from true."""
    drawn = np.random.default_rng(SEED).lognormal(4, 0.3, (4000, 13))
    drawn[:, [0, 12]] *= 2.5
    held = 0
    for *seen, following in drawn.round().astype(int).tolist():
        said = typical(
            [OperationTimes("garden tractor", seen[:1]), OperationTimes("lawn tractor", seen[1:])], "garden tractor"
        )
        assert (said.level, said.of_ten, said.most, said.few) == ("family", None, None, True)
        assert said.low is not None
        assert said.minutes is not None
        assert said.high is not None
        assert said.low <= said.minutes <= said.high
        held += said.low <= following <= said.high
    # What "8 of 10" would have promised is missed, at these odds beyond chance.
    assert held < binom.ppf(SURE, 4000, 0.8)


def test_looking_back_counts_what_each_interval_held() -> None:
    drawn = np.random.default_rng(SEED).lognormal(4, 0.6, 600).round().astype(int).tolist()
    (found,) = coverage_so_far(("tiller", minutes) for minutes in drawn)
    assert (found.level, found.asked) == ("kind", 600 - 9)
    assert found.held >= binom.ppf(SURE, found.asked, 0.8)
    assert found.promised == 8 * found.asked


def test_looking_back_promises_nothing_for_other_kinds() -> None:
    others = [("lawn tractor", 60)] * 9
    (family,) = coverage_so_far([*others, ("garden tractor", 60), ("garden tractor", 600)])
    assert (family.level, family.asked, family.held, family.promised) == ("family", 2, 1, None)


def test_looking_back_sees_only_what_came_before() -> None:
    assert coverage_so_far([("tiller", 60)] * 9) == []
    (calm,) = coverage_so_far([("tiller", 60)] * 9 + [("tiller", 61)])
    assert (calm.asked, calm.held) == (1, 0)
