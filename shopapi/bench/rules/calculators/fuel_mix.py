"""Oil for a two-stroke mix: the fuel divided by the ratio. "50" stands for 50 parts of fuel to 1 of oil.

Source: arithmetic; the ratio is the manufacturer's. Twin: `pwa/src/domain/bench/calculators/fuelMix.ts`.
"""

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
from shopapi.core.quantities import Quantity


def _calculate(given: Given) -> Calculation:
    fuel, ratio = given.figures["fuel"], given.figures["ratio"]
    oil = fuel.si / ratio.value
    results = {
        "oil_ml": figure_in("mL", oil),
        "oil_fl_oz": figure_in("fl oz", oil),
        "mixed": figure_in(fuel.unit, fuel.si + oil),
    }
    steps = (
        WorkingStep("oil", {"fuel": fuel, "ratio": ratio, "oil": figure_in(fuel.unit, oil)}),
        WorkingStep("oil_share", {"share": Figure(100 / ratio.value, "%")}),
    )
    return Calculation(results, steps)


# Ratios in use are from 16 to 100; 1 : 10 was used long ago.
FUEL_MIX = Calculator(
    "fuel_mix",
    (Input("fuel", (Quantity.VOLUME,)), Input("ratio", low=Fraction(10), high=Fraction(200))),
    _calculate,
    sources=("fuel_practice",),
)
