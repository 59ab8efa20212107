"""Charging voltage at the battery, engine at full speed, nothing switched on.

Bands: engine makers' service manuals give 13.5 to 14.5 V or 14.0 to 15.0 V, and at least 20 V AC from the stator at
3600 rpm without load; what none of them gives is outside. Rested battery: charging must raise its voltage.
Twin: `pwa/src/domain/bench/calculators/charging.ts`.
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

LOW, HIGH = Fraction("13.5"), Fraction(15)
LEAST_RISE = Fraction("0.5")
LEAST_STATOR = Fraction(20)


def _calculate(given: Given) -> Calculation:
    running = given.figures["running"]
    rested, stator = given.figures.get("rested"), given.figures.get("stator")
    results: dict[str, Figure] = {"running": running}
    steps = [
        WorkingStep(
            "charging_band",
            {"running": running, "low": figure_in(running.unit, LOW), "high": figure_in(running.unit, HIGH)},
        )
    ]
    if rested:
        results["rise"] = figure_in(running.unit, running.si - rested.si)
        steps.append(WorkingStep("charging_rise", {"running": running, "rested": rested, "rise": results["rise"]}))
    if stator:
        steps.append(WorkingStep("charging_stator", {"stator": stator, "least": figure_in(stator.unit, LEAST_STATOR)}))
    return Calculation(results, tuple(steps), _verdict(running, rested, stator))


def _verdict(running: Figure, rested: Figure | None, stator: Figure | None) -> str:
    if running.si > HIGH:
        return "overcharging"
    weak = running.si < LOW
    if weak and stator and stator.si < LEAST_STATOR:
        return "stator_weak"
    if weak and rested and running.si - rested.si < LEAST_RISE:
        return "not_charging"
    return "charging_low" if weak else "charging"


_MOST = Fraction(100)
CHARGING = Calculator(
    "charging",
    (
        Input("running", (Quantity.VOLTAGE,), low=Fraction(5), high=Fraction(25)),
        Input("rested", (Quantity.VOLTAGE,), optional=True, low=Fraction(0), high=Fraction(18)),
        Input("stator", (Quantity.VOLTAGE,), optional=True, low=Fraction(0), high=_MOST),
    ),
    _calculate,
    sources=("engine_makers_charging",),
)
