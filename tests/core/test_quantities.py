"""Units and conversion: vectors that the phone runs as well (`quantities.test.ts`), and figures published by others."""

import json
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError
from scipy import constants

from shopapi.core.quantities import (
    UNITS,
    Quantity,
    UnitKey,
    UnlikeUnits,
    as_shown,
    convert,
    span_to_si,
    to_si,
    units_of,
)

VECTORS = json.loads((Path(__file__).parents[2] / "fixtures" / "measures" / "quantities.json").read_text())
ALIKE = st.sampled_from([(one, other) for one in UNITS for other in units_of(UNITS[one].quantity)])
VALUES = st.decimals(min_value=-100_000, max_value=100_000, places=4)

# NIST SP 811 (2008), appendix B.8, factors to the base unit as printed there, to seven digits.
NIST_B8 = {
    "lbf": 4.448222,
    "lbf.ft": 1.355818,
    "lbf.in": 0.1129848,
    "psi": 6894.757,
    "inHg": 3386.389,
    "gal": 3.785412e-3,
    "qt": 9.463529e-4,
    "fl oz": 2.957353e-5,
    "oz": 2.834952e-2,
    "lb": 0.4535924,
    "in": 0.0254,
    "thou": 2.54e-5,
    "ft": 0.3048,
    "mi": 1609.344,
    "ft/min": 0.00508,
    "mph": 0.44704,
    "km/h": 0.2777778,
    "hp": 745.6999,
    "bar": 100_000,
}
# The same from another program: scipy.constants, which defines them for itself.
SCIPY = {
    "lbf": constants.pound_force,
    "psi": constants.psi,
    "gal": constants.gallon_US,
    "fl oz": constants.fluid_ounce_US,
    "oz": constants.oz,
    "lb": constants.pound,
    "in": constants.inch,
    "thou": constants.mil,
    "ft": constants.foot,
    "mi": constants.mile,
    "mph": constants.mph,
    "km/h": constants.kmh,
    "hp": constants.hp,
    "bar": constants.bar,
    "min": constants.minute,
    "h": constants.hour,
    "L": constants.liter,
}


@pytest.mark.parametrize("case", VECTORS["conversions"], ids=lambda case: f"{case['value']} {case['unit']}")
def test_conversion_is_exact(case: dict[str, Any]) -> None:
    assert convert(Decimal(case["value"]), case["unit"], case["to"]) == Fraction(case["exact"])


@pytest.mark.parametrize("case", VECTORS["spans"], ids=lambda case: f"{case['value']} {case['unit']}")
def test_span_is_exact(case: dict[str, Any]) -> None:
    assert span_to_si(Decimal(case["value"]), case["unit"]) == span_to_si(Fraction(case["exact"]), case["to"])


@pytest.mark.parametrize("case", VECTORS["shown"], ids=lambda case: case["exact"])
def test_figure_is_shown(case: dict[str, str]) -> None:
    assert as_shown(Fraction(case["exact"])) == case["text"]


@pytest.mark.parametrize("pair", VECTORS["unlike"], ids=" ".join)
def test_unlike_units_are_refused(pair: tuple[str, str]) -> None:
    with pytest.raises(UnlikeUnits):
        convert(Decimal(1), *pair)


@pytest.mark.parametrize("key", VECTORS["unknown"])
def test_unknown_unit_is_refused(key: str) -> None:
    with pytest.raises(KeyError):
        to_si(Decimal(1), key)
    with pytest.raises(ValidationError, match="unit_unknown"):
        TypeAdapter(UnitKey).validate_python(key)


@pytest.mark.parametrize("key", NIST_B8)
def test_factor_as_nist_prints_it(key: str) -> None:
    # The table is rounded to seven digits: never equal.
    assert float(UNITS[key].factor) == pytest.approx(NIST_B8[key], rel=5e-7)


@pytest.mark.parametrize("key", SCIPY)
def test_factor_as_scipy_has_it(key: str) -> None:
    assert float(UNITS[key].factor) == pytest.approx(SCIPY[key], rel=1e-14)


@pytest.mark.parametrize("degrees", [-459, -34, 0, 32, 80, 212])
def test_temperature_as_scipy_has_it(degrees: int) -> None:
    assert float(to_si(Decimal(degrees), "degF")) == pytest.approx(
        float(constants.convert_temperature(degrees, "Fahrenheit", "Kelvin")), rel=1e-12, abs=1e-9
    )


@given(VALUES, ALIKE)
def test_there_and_back_is_the_same(value: Decimal, units: tuple[str, str]) -> None:
    one, other = units
    assert convert(convert(value, one, other), other, one) == Fraction(value)


@given(VALUES, VALUES, ALIKE)
def test_order_is_kept(low: Decimal, high: Decimal, units: tuple[str, str]) -> None:
    assert (low < high) == (convert(low, *units) < convert(high, *units))


@given(st.fractions(min_value=-(10**6), max_value=10**6))
def test_figure_shown_is_near(value: Fraction) -> None:
    error = abs(Fraction(as_shown(value)) - value)
    assert error <= max(abs(value) / 2000, Fraction(1, 2 * 10**8))


def test_every_quantity_has_a_unit_and_every_factor_is_above_zero() -> None:
    assert all(units_of(quantity) for quantity in Quantity)
    assert all(unit.factor > 0 for unit in UNITS.values())
