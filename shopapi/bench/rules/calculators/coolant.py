"""Coolant drained against coolant that went back in: air in the system shows as a shortfall.

About half back means air is trapped (an engine maker's manual for generator sets); the other bounds are ours.
Twin: `pwa/src/domain/bench/calculators/coolant.ts`.
"""

from fractions import Fraction

from shopapi.bench.rules.calculators.answers import Calculation, Calculator, Given, Input, WorkingStep, figure_in
from shopapi.core.quantities import Quantity

# Of what was drained: up to this air is trapped; from this on it is full; above this it was low before.
TRAPPED, FULL, MORE = Fraction(65, 100), Fraction(95, 100), Fraction(105, 100)


def _calculate(given: Given) -> Calculation:
    drained, refilled = given.figures["drained"], given.figures["refilled"]
    share = refilled.si / drained.si
    missing = figure_in(drained.unit, drained.si - refilled.si)
    if share <= TRAPPED:
        verdict = "air_trapped"
    elif share < FULL:
        verdict = "not_full_yet"
    else:
        verdict = "full" if share <= MORE else "was_low"
    back = figure_in("%", share)
    steps = (
        WorkingStep("share_back", {"refilled": refilled, "drained": drained, "back": back}),
        WorkingStep("missing", {"drained": drained, "refilled": refilled, "missing": missing}),
    )
    return Calculation({"back": back, "missing": missing}, steps, verdict)


COOLANT = Calculator(
    "coolant",
    (Input("drained", (Quantity.VOLUME,)), Input("refilled", (Quantity.VOLUME,), low=Fraction(0))),
    _calculate,
    sources=("coolant_practice",),
)
