"""Unit conversion: one value in every other unit of its quantity.

Source: NIST SP 811, appendix B, through `core.quantities`. Twin: `pwa/src/domain/bench/calculators/conversion.ts`.
"""

from collections.abc import Mapping
from fractions import Fraction

from shopapi.bench.rules.calculators.answers import (
    Calculation,
    Calculator,
    Figure,
    Given,
    Input,
    WorkingStep,
    figure_in,
)
from shopapi.core.quantities import UNITS, Quantity, units_of

# The unit that is most often wanted, which is shown first; by default the first other one of the list.
WANTED: Mapping[str, str] = {
    "mm": "in",
    "mm/100": "thou",
    "cm": "in",
    "m": "ft",
    "km": "mi",
    "in": "mm",
    "thou": "mm",
    "ft": "m",
    "mi": "km",
    "N": "lbf",
    "kPa": "psi",
    "bar": "psi",
    "mL": "fl oz",
    "L": "qt",
    "qt": "L",
    "gal": "L",
    "g": "oz",
    "kg": "lb",
    "lb": "kg",
    "s": "min",
    "h": "min",
    "m/s": "ft/min",
    "km/h": "mph",
    "mph": "km/h",
    "kW": "hp",
    "hp": "kW",
}
# Of units whose zero is elsewhere: the step that says the formula.
FORMULAS: Mapping[str, str] = {"degF": "to_celsius", "degC": "to_fahrenheit"}
QUANTITIES = tuple(quantity for quantity in Quantity if len(units_of(quantity)) > 1)


def _calculate(given: Given) -> Calculation:
    value = given.figures["value"]
    others = [key for key in units_of(UNITS[value.unit].quantity) if key != value.unit]
    others.sort(key=lambda key: key != WANTED.get(value.unit))
    first = figure_in(others[0], value.si)
    if value.unit in FORMULAS:
        steps = (WorkingStep(FORMULAS[value.unit], {"value": value, "other": first}),)
    else:
        one = Figure(Fraction(1), value.unit)
        steps = (
            WorkingStep("one_is", {"one": one, "factor": figure_in(others[0], one.si), "value": value, "other": first}),
        )
    return Calculation({f"in_{key}": figure_in(key, value.si) for key in others}, steps)


# Any sign: a temperature may be below zero.
_ANY = Fraction(-(10**12))
CONVERSION = Calculator(
    "conversion", (Input("value", QUANTITIES, low=_ANY),), _calculate, sources=("nist_sp_811",), maker_first=False
)
