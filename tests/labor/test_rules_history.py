"""Hours to quote: the vectors of both twins, the published ranks, and the coverage by drawing."""

import json
from dataclasses import asdict
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import binom

from shopapi.labor.rules.history import Kept, family_of, held_before, ranks, typical, upper_rank

VECTORS = json.loads((Path(__file__).parents[2] / "fixtures" / "labor" / "history.json").read_text())
SEED = 20261125
DRAWS = 20_000
# An honest rule fails this once in a million runs; the seed is fixed, so it fails never or always.
SURE = 1e-6


@pytest.mark.parametrize("case", VECTORS["ranks"])
def test_ranks(case: dict[str, object]) -> None:
    found = ranks(case["n"], case["coverage"])
    assert found == (tuple(case["ranks"]) if case["ranks"] else None)


@pytest.mark.parametrize("case", VECTORS["upper"])
def test_upper_ranks(case: dict[str, object]) -> None:
    assert upper_rank(case["n"], case["miss"]) == case["rank"]


@pytest.mark.parametrize(("kind", "family"), VECTORS["families"])
def test_families(kind: str, family: str) -> None:
    assert family_of(kind) == family


@pytest.mark.parametrize("case", VECTORS["typical"], ids=lambda case: case["says"])
def test_what_is_typical(case: dict[str, object]) -> None:
    found = typical([Kept(**kind) for kind in case["kinds"]], case["machine_kind"])
    assert asdict(found) == case["is"]


@pytest.mark.parametrize(("n", "coverage"), [(9, 80), (19, 80), (19, 90), (39, 90), (25, 80)])
def test_the_stated_share_of_next_jobs_falls_between(n: int, coverage: int) -> None:
    """The share is exactly (s - r)/(n + 1) whatever the shape; here log-normal times, held to binomial bounds."""
    r, s = ranks(n, coverage)
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
    drawn = np.random.default_rng(SEED + n).gamma(2, 30, (DRAWS, n + 1))
    held = int(np.sum(drawn[:, n] <= np.sort(drawn[:, :n], axis=1)[:, k - 1]))
    exact = k / (n + 1)
    assert 1 - miss / 100 <= exact < 1 - miss / 100 + 1 / (n + 1) + 1e-12
    assert binom.ppf(SURE, DRAWS, exact) <= held <= binom.ppf(1 - SURE, DRAWS, exact)


def test_few_jobs_of_a_kind_still_hold_what_they_say_of_the_family() -> None:
    """Three own jobs among twelve of the family, all alike: the stretched interval holds at least what it states."""
    drawn = np.random.default_rng(SEED).lognormal(4, 0.5, (4000, 13)).round().astype(int)
    held = 0
    for *seen, following in drawn.tolist():
        said = typical([Kept("garden tractor", seen[:3]), Kept("lawn tractor", seen[3:])], "garden tractor")
        assert (said.level, said.of_ten, said.few) == ("family", 8, True)
        assert said.low <= said.minutes <= said.high
        held += said.low <= following <= said.high
    # With n = 12 the pooled interval covers 11/13; stretching can only add.
    assert held >= binom.ppf(SURE, 4000, 11 / 13)


def test_looking_back_counts_what_each_interval_held() -> None:
    drawn = np.random.default_rng(SEED).lognormal(4, 0.6, 600).round().astype(int).tolist()
    (found,) = held_before(("tiller", minutes) for minutes in drawn)
    assert (found.level, found.asked) == ("kind", 600 - 9)
    assert found.held >= binom.ppf(SURE, found.asked, 0.8)
    assert found.promised == 8 * found.asked


def test_looking_back_sees_only_what_came_before() -> None:
    assert held_before([("tiller", 60)] * 9) == []
    (calm,) = held_before([("tiller", 60)] * 9 + [("tiller", 61)])
    assert (calm.asked, calm.held) == (1, 0)
