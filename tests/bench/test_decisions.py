"""Verdicts on readings: the vectors that the phone runs too, published figures, scipy, and properties."""

import json
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from shopapi.bench.rules.decisions import (
    LEAST_RATIO,
    Verdict,
    agree,
    conformity,
    decide_interval,
    decide_value,
    is_too_coarse,
    normal,
    uncertainty_ratio,
)

VECTORS = json.loads((Path(__file__).parents[2] / "fixtures" / "bench" / "decisions.json").read_text())
F = Fraction


def bound(text: str | None) -> Fraction | None:
    return None if text is None else Fraction(text)


def figures(vector: dict[str, Any], *names: str) -> list[Any]:
    return [bound(vector[name]) for name in names]


@pytest.mark.parametrize("vector", VECTORS["values"], ids=lambda vector: vector["name"])
def test_value_vectors(vector: dict[str, Any]) -> None:
    value, uncertainty, low, high = figures(vector, "value", "uncertainty", "low", "high")
    assert decide_value(value, uncertainty, low, high) == vector["verdict"]
    # Computed with scipy's normal distribution when the file was made.
    assert conformity(value, uncertainty, low, high) == (
        None if vector["p"] is None else pytest.approx(vector["p"], abs=1e-12)
    )
    ratio = uncertainty_ratio(uncertainty, low, high)
    expected = vector["ratio"]
    assert (ratio and float(ratio)) == (expected and pytest.approx(float(expected), abs=1e-9))


@pytest.mark.parametrize("vector", VECTORS["intervals"], ids=lambda vector: vector["name"])
def test_interval_vectors(vector: dict[str, Any]) -> None:
    assert decide_interval(*figures(vector, "goes", "stops", "uncertainty", "low", "high")) == vector["verdict"]


@pytest.mark.parametrize(("x", "expected"), VECTORS["normal"])
def test_phi_is_that_of_scipy(x: float, expected: float) -> None:
    assert normal(x) == pytest.approx(expected, abs=1e-15, rel=1e-12)
    assert expected == pytest.approx(norm.cdf(x), rel=1e-14)


@pytest.mark.parametrize("vector", VECTORS["agree"])
def test_agreement_vectors(vector: dict[str, Any]) -> None:
    assert agree(*figures(vector, "one", "uncertainty", "other", "other_uncertainty")) is vector["expect"]


@pytest.mark.parametrize(
    ("value", "uncertainty", "verdict", "p"),
    [
        # Ours, worked by hand for a gap of 0.20 to 0.30 mm; p to the four digits of a table of Phi.
        ("0.25", "0.02", "within", "1.0000"),
        ("0.29", "0.02", "cannot_say", "0.8413"),
        ("0.32", "0.02", "cannot_say", "0.0228"),
        ("0.33", "0.02", "outside", "0.0013"),
        # A maker of feeler blades states 0.010 in +/- 0.00035 in (easterngage.com); 0.00035 in is 0.0089 mm.
        ("0.254", "0.0089", "within", "1.0000"),
        ("0.305", "0.009", "cannot_say", "0.1333"),
    ],
)
def test_worked_values(value: str, uncertainty: str, verdict: str, p: str) -> None:
    limits = F("0.20"), F("0.30")
    assert decide_value(F(value), F(uncertainty), *limits) == verdict
    assert f"{conformity(F(value), F(uncertainty), *limits):.4f}" == p


def test_phi_of_the_zener_example() -> None:
    """JCGM 106:2012, example of a Zener diode: Phi(1.4) = 0.9192, printed as 0.92 (from memory)."""
    assert round(normal(1.4), 4) == 0.9192
    assert f"{conformity(F('5.36'), F('0.1'), None, F('5.43')):.2f}" == "0.92"


@pytest.mark.parametrize(
    ("uncertainty", "ratio", "verdict"),
    # Half of 0.10 mm over U: a feeler blade, a caliper of +/- 0.03 mm, and the edge of the 4:1 rule (Z540.3, 5.3 b).
    [("0.0089", "5.6", "fine"), ("0.03", "1.7", "coarse"), ("0.0125", "4.0", "fine"), ("0.012501", "4.0", "coarse")],
)
def test_ratio_of_tolerance_and_gauge(uncertainty: str, ratio: str, verdict: str) -> None:
    limits = F("0.20"), F("0.30")
    found = uncertainty_ratio(F(uncertainty), *limits)
    assert found is not None
    assert f"{float(found):.1f}" == ratio
    assert is_too_coarse(F(uncertainty), *limits) is (verdict == "coarse")
    assert LEAST_RATIO == 4


def test_fifteen_in_another_unit() -> None:
    """15 read as hundredths of a millimeter or as thousandths of an inch differ by 2.54 (25.4 mm to the inch)."""
    limits, sure = (F("0.20"), F("0.30")), F("0.01")
    assert decide_value(F(15, 100), sure, *limits) == Verdict.OUTSIDE
    assert decide_value(15 * F("25.4") / 1000, sure, *limits) == Verdict.OUTSIDE
    assert decide_value(10 * F("25.4") / 1000, sure, *limits) == Verdict.WITHIN


numbers = st.fractions(min_value=-100, max_value=100, max_denominator=1000)
sure = st.fractions(min_value=0, max_value=10, max_denominator=1000)
ORDER = {Verdict.OUTSIDE: 0, Verdict.CANNOT_SAY: 1, Verdict.WITHIN: 2}


@given(numbers, sure, sure, numbers, numbers)
def test_a_surer_gauge_never_unsettles(value: F, one: F, other: F, a: F, b: F) -> None:
    low, high = sorted((a, b))
    fine, coarse = sorted((one, other))
    settled = decide_value(value, coarse, low, high)
    if settled != Verdict.CANNOT_SAY:
        assert decide_value(value, fine, low, high) == settled


@given(numbers, numbers, sure, numbers, numbers)
def test_nearer_the_middle_is_never_worse(one: F, other: F, uncertainty: F, a: F, b: F) -> None:
    low, high = sorted((a, b))
    middle = (low + high) / 2
    near, far = sorted((one, other), key=lambda value: abs(value - middle))
    verdicts = [ORDER[decide_value(value, uncertainty, low, high)] for value in (near, far)]
    assert verdicts[0] >= verdicts[1]


@given(numbers, sure.filter(bool), numbers, numbers)
def test_the_probability_goes_with_the_verdict(value: F, uncertainty: F, a: F, b: F) -> None:
    """Within means at least Phi(2) on each side, outside less than Phi(-2): twice u is the guard band."""
    low, high = sorted((a, b))
    p, verdict = conformity(value, uncertainty, low, high), decide_value(value, uncertainty, low, high)
    assert p is not None
    assert -1e-12 <= p <= 1 + 1e-12
    if verdict == Verdict.WITHIN:
        assert p >= 2 * norm.cdf(2) - 1 - 1e-9
    if verdict == Verdict.OUTSIDE:
        assert p < norm.cdf(-2) + 1e-9


@given(st.tuples(numbers, numbers, numbers), sure, st.tuples(numbers, numbers))
def test_a_narrower_interval_never_unsettles(sizes: tuple[F, F, F], uncertainty: F, limits: tuple[F, F]) -> None:
    goes, middle, stops = sorted(sizes)
    low, high = sorted(limits)
    wide = decide_interval(goes, stops, uncertainty, low, high)
    if wide != Verdict.CANNOT_SAY:
        assert decide_interval(middle, stops, uncertainty, low, high) == wide
        assert decide_interval(goes, middle, uncertainty, low, high) == wide


@given(numbers, sure, numbers, numbers)
def test_two_readings_agree_both_ways(one: F, uncertainty: F, other: F, extra: F) -> None:
    assert agree(one, uncertainty, other, abs(extra)) is agree(other, abs(extra), one, uncertainty)
    assert agree(one, uncertainty, one, abs(extra))
