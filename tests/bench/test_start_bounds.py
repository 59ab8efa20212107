"""Bounds of counted starts against scipy (`binomtest`, exact interval of Clopper and Pearson) and by hand."""

import json
from pathlib import Path
from typing import Any

import pytest
from scipy.stats import binom, binomtest

from shopapi.bench.rules.start_bounds import highest_rate, missed_share, needed_tries

VECTORS = json.loads((Path(__file__).parents[2] / "fixtures" / "bench" / "start_bounds.json").read_text())
RULES: dict[str, Any] = {"missed": missed_share, "highest": highest_rate, "needed": needed_tries}


def test_vectors() -> None:
    for vector in VECTORS["missed"]:
        assert missed_share(vector["rate"], vector["tries"]) == pytest.approx(vector["expect"], abs=1e-12)
    for vector in VECTORS["highest"]:
        assert highest_rate(vector["tries"], vector["bad"]) == pytest.approx(vector["expect"], abs=1e-9)
    for vector in VECTORS["needed"]:
        assert needed_tries(vector["rate"]) == vector["expect"]


def test_twelve_good_starts_by_hand() -> None:
    """0.8^12 = 0.068719...; 1 - 0.05^(1/12) = 0.2209, the rule of three gives 3/12 = 0.25."""
    assert round(missed_share(0.2, 12), 4) == 0.0687
    assert round(highest_rate(12, 0), 4) == 0.2209
    assert highest_rate(1000, 0) == pytest.approx(3 / 1000, rel=0.01)


@pytest.mark.parametrize("tries", [1, 2, 5, 12, 29, 100, 700])
@pytest.mark.parametrize("share", [0, 0.01, 0.1, 0.5, 0.9, 1])
def test_against_scipy(tries: int, share: float) -> None:
    bad = round(tries * share)
    interval = binomtest(bad, tries, alternative="less").proportion_ci(confidence_level=0.95, method="exact")
    assert highest_rate(tries, bad) == pytest.approx(interval.high, abs=1e-9)


@pytest.mark.parametrize("rate", [0.9, 0.5, 0.2, 0.1, 0.03, 0.001])
def test_needed_starts_are_the_fewest(rate: float) -> None:
    tries = needed_tries(rate)
    assert binom.cdf(0, tries, rate) <= 0.05 < binom.cdf(0, tries - 1, rate)


@pytest.mark.parametrize(("name", "first", "second"), VECTORS["refused"])
def test_what_cannot_be_is_refused(name: str, first: float, second: int | None) -> None:
    with pytest.raises(ValueError, match="outside"):
        RULES[name](first, *([] if second is None else [second]))
