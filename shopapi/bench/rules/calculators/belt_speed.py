"""Speed of a driven pulley and of the belt, from the diameters and the speed of the driver, without slip.

Diameters are those at which the belt runs, somewhat inside the rim of a V pulley. Speed of the belt = pi d n.
Source: arithmetic. Twin: `pwa/src/domain/bench/calculators/beltSpeed.ts`.
"""

from shopapi.bench.rules.calculators.answers import (
    PI,
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
    driver, driven, speed = given.figures["driver"], given.figures["driven"], given.figures["speed"]
    ratio = driver.si / driven.si
    turns, belt = figure_in("rpm", speed.si * ratio), PI * driver.si * speed.si
    results = {
        "driven_speed": turns,
        "belt_ft_min": figure_in("ft/min", belt),
        "belt_m_s": figure_in("m/s", belt),
        "turn_ratio": Figure(ratio),
    }
    steps = (
        WorkingStep("pulley_ratio", {"driver": driver, "driven": driven, "ratio": results["turn_ratio"]}),
        WorkingStep("driven_speed", {"speed": speed, "ratio": results["turn_ratio"], "driven_speed": turns}),
        WorkingStep("belt_speed", {"driver": driver, "speed": speed, "belt": results["belt_m_s"]}),
    )
    return Calculation(results, steps)


BELT_SPEED = Calculator(
    "belt_speed",
    (
        Input("driver", (Quantity.LENGTH,)),
        Input("driven", (Quantity.LENGTH,)),
        Input("speed", (Quantity.ROTATION,)),
    ),
    _calculate,
    sources=("pulley_arithmetic",),
)
