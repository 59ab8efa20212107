"""What to set a torque wrench to with an adapter on it: T_set = T * L / (L + E * cos a).

L is from the center of the drive to the middle of the grip, E from the center of the drive to the center of the
fastener, a the angle of the adapter off the line of the wrench. At 90 degrees nothing changes; pointing back it adds.
Source: makers' instructions for torque wrenches; US Army TM 9-254 has the form with the angle.
Twin: `pwa/src/domain/bench/calculators/wrenchAdapter.ts`.
"""

from fractions import Fraction
from math import floor

from shopapi.bench.rules.calculators.answers import PI, Calculation, Calculator, Given, Input, WorkingStep, figure_in
from shopapi.bench.rules.calculators.inputs import refuse
from shopapi.core.quantities import Quantity

_TRILLION = 10**12


def cosine(degrees: Fraction) -> Fraction:
    """The cosine of 0 to 180 degrees to 12 decimal places, by its series: the phone gets the same figure.

    >>> cosine(Fraction(60)), cosine(Fraction(90)), cosine(Fraction(180))
    (Fraction(1, 2), Fraction(0, 1), Fraction(-1, 1))
    """
    # 18 digits are enough for the terms; exact ones would have hundreds.
    angle = Fraction(floor(degrees * PI / 180 * 10**18), 10**18)
    term, total = Fraction(1), Fraction(1)
    for k in range(1, 16):
        term = Fraction(floor(-term * angle * angle / ((2 * k - 1) * 2 * k) * 10**18), 10**18)
        total += term
    return Fraction(floor(total * _TRILLION + Fraction(1, 2)), _TRILLION)


def _calculate(given: Given) -> Calculation:
    torque, wrench, adapter = given.figures["torque"], given.figures["wrench"], given.figures["adapter"]
    angle = given.figures.get("angle")
    turned = cosine(angle.si) if angle else Fraction(1)
    whole = wrench.si + adapter.si * turned
    # Shorter than half the wrench, pointing back: no wrench is used like that, the lengths are mixed up.
    if whole < wrench.si / 2:
        raise refuse("adapter", "adapter_too_long")
    setting = figure_in(torque.unit, torque.si * wrench.si / whole)
    length = figure_in(wrench.unit, whole)
    return Calculation(
        {"setting": setting},
        (
            WorkingStep("length_with_adapter", {"wrench": wrench, "adapter": adapter, "length": length}),
            WorkingStep("setting", {"torque": torque, "wrench": wrench, "length": length, "setting": setting}),
        ),
    )


WRENCH_ADAPTER = Calculator(
    "wrench_adapter",
    (
        Input("torque", (Quantity.TORQUE,)),
        Input("wrench", (Quantity.LENGTH,)),
        Input("adapter", (Quantity.LENGTH,)),
        Input("angle", (Quantity.ANGLE,), optional=True, low=Fraction(0), high=Fraction(180)),
    ),
    _calculate,
    sources=("wrench_makers", "tm_9_254"),
)
