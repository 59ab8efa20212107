"""Compression of two cylinders beside each other, and leak-down of one.

Compression: common practice asks for at most 10 % between cylinders; a car maker's book allows the lowest to be 75 % of
the highest. A compression release lowers both figures, so they say little alone.
Leak-down: to 12 % usual, to 20 % worn, above that worth finding; other shops call up to 20 % good and 30 % bad (common
practice, no standard). Where the air comes out says which part leaks.
Twin: `pwa/src/domain/bench/calculators/cylinders.ts`.
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
from shopapi.bench.rules.calculators.inputs import refuse
from shopapi.core.quantities import Quantity

ALIKE, LEAST = Fraction(90, 100), Fraction(75, 100)
USUAL, WORN = Fraction(12, 100), Fraction(20, 100)


def _compare(given: Given) -> Calculation:
    one, two = given.figures["cylinder_1"], given.figures["cylinder_2"]
    low, high = sorted((one, two), key=lambda figure: figure.si)
    ratio = low.si / high.si
    share, apart = figure_in("%", ratio), figure_in(one.unit, high.si - low.si)
    verdict = "alike" if ratio >= ALIKE else "apart" if ratio >= LEAST else "far_apart"
    steps = (
        WorkingStep("low_of_high", {"low": low, "high": high, "ratio": share}),
        WorkingStep("difference", {"low": low, "high": high, "difference": apart}),
    )
    return Calculation({"ratio": share, "difference": apart}, steps, verdict)


COMPRESSION = Calculator(
    "compression",
    (Input("cylinder_1", (Quantity.PRESSURE,)), Input("cylinder_2", (Quantity.PRESSURE,))),
    _compare,
    sources=("compression_practice",),
)


def _leak(given: Given) -> Calculation:
    supplied, held = given.figures["supplied"], given.figures["held"]
    if held.si > supplied.si:
        raise refuse("held", "held_above_supplied")
    leak = (supplied.si - held.si) / supplied.si
    verdict = "leak_usual" if leak <= USUAL else "leak_worn" if leak <= WORN else "leak_find"
    share: Figure = figure_in("%", leak)
    steps = (WorkingStep("leak", {"supplied": supplied, "held": held, "leak": share}),)
    return Calculation({"leak": share}, steps, verdict)


LEAK_DOWN = Calculator(
    "leak_down",
    (Input("supplied", (Quantity.PRESSURE,)), Input("held", (Quantity.PRESSURE,), low=Fraction(0))),
    _leak,
    sources=("leak_down_practice",),
)
