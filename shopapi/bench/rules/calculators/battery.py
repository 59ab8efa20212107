"""State of charge of a rested 12 V flooded lead-acid battery, corrected to 80 °F, and when it freezes.

Voltage and gravity by charge: the table of the battery makers' association (BCI), as battery makers print it, with
straight lines between the rows. A cold battery at rest shows less voltage, 0.024 V for each 10 °F: this is added below
80 °F and taken off above. A hydrometer shows more in cold, 0.004 for each 10 °F: this is taken off below 80 °F and
added above.
Freezing by gravity: US Army ordnance tables (OD1002; TM 5-1185). The BCI table lists lower temperatures for a weak
battery; the warmer ones are used because a frozen battery can burst.
Twin: `pwa/src/domain/bench/calculators/battery.ts`.
"""

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

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
from shopapi.core.quantities import UNITS, Quantity, to_si

_Points = Sequence[tuple[Fraction, Fraction]]


def _points(*pairs: tuple[str, str]) -> _Points:
    return [(Fraction(x), Fraction(y)) for x, y in pairs]


CHARGE_BY_VOLTS = _points(("11.89", "0"), ("12.06", "25"), ("12.24", "50"), ("12.45", "75"), ("12.65", "100"))
CHARGE_BY_GRAVITY = _points(("1.120", "0"), ("1.155", "25"), ("1.190", "50"), ("1.225", "75"), ("1.265", "100"))
GRAVITY_BY_CHARGE = [(charge, gravity) for gravity, charge in CHARGE_BY_GRAVITY]
FREEZES_BY_GRAVITY = _points(("1.100", "19"), ("1.150", "5"), ("1.200", "-16"), ("1.250", "-62"), ("1.280", "-90"))
VOLTS_PER_DEGF, GRAVITY_PER_DEGF = Fraction("0.0024"), Fraction("0.0004")
MOST_GRAVITY = Fraction("1.4")
# Beyond the table by more than this: fresh from the charger, or another kind of battery.
SURFACE_CHARGE_VOLTS, SURFACE_CHARGE_GRAVITY = Fraction("0.10"), Fraction("0.015")


def interpolate(points: _Points, x: Fraction) -> Fraction:
    """On straight lines between the points, which ascend; beyond the ends the value of the end.

    >>> interpolate([(Fraction(0), Fraction(10)), (Fraction(2), Fraction(20))], Fraction(1))
    Fraction(15, 1)
    """
    if x <= points[0][0]:
        return points[0][1]
    for (low, start), (high, end) in pairwise(points):
        if x <= high:
            return start + (end - start) * (x - low) / (high - low)
    return points[-1][1]


def _calculate(given: Given) -> Calculation:
    reading, temperature = given.figures["reading"], given.figures["temperature"]
    is_volts = UNITS[reading.unit].quantity == Quantity.VOLTAGE
    if not is_volts and reading.si > MOST_GRAVITY:
        raise refuse("reading", "figure_improbable")
    away = figure_in("degF", temperature.si).value - 80
    correction = -VOLTS_PER_DEGF * away if is_volts else GRAVITY_PER_DEGF * away
    table = CHARGE_BY_VOLTS if is_volts else CHARGE_BY_GRAVITY
    corrected = reading.si + correction
    charge = interpolate(table, corrected)
    gravity = interpolate(GRAVITY_BY_CHARGE, charge)
    freezes = figure_in(temperature.unit, to_si(interpolate(FREEZES_BY_GRAVITY, gravity), "degF"))
    shown = figure_in(reading.unit, corrected)
    results = {"charge": Figure(charge, "%"), "corrected": shown, "freezes": freezes}
    steps = [
        WorkingStep(
            "battery_volts" if is_volts else "battery_gravity",
            {
                "reading": reading,
                "temperature": temperature,
                "correction": figure_in(reading.unit, correction),
                "corrected": shown,
            },
        ),
        WorkingStep("battery_table", {"corrected": shown, "charge": results["charge"]}),
        WorkingStep("battery_freezes", {"gravity": Figure(gravity, "SG"), "freezes": freezes}),
    ]
    meter = given.figures.get("meter")
    if meter:
        if UNITS[meter.unit].quantity != UNITS[reading.unit].quantity:
            raise refuse("meter", "unit_misfit")
        low, high = (Figure(interpolate(table, corrected + each), "%") for each in (-meter.si, meter.si))
        steps.append(WorkingStep("battery_meter", {"meter": meter, "low": low, "high": high}))
    return Calculation(results, tuple(steps), _verdict(corrected, charge, is_volts=is_volts))


def _verdict(corrected: Fraction, charge: Fraction, *, is_volts: bool) -> str:
    most = (CHARGE_BY_VOLTS if is_volts else CHARGE_BY_GRAVITY)[-1][0]
    if corrected > most + (SURFACE_CHARGE_VOLTS if is_volts else SURFACE_CHARGE_GRAVITY):
        return "surface_charge"
    if charge >= 75:
        return "charged"
    return "charge_it" if charge > 0 else "flat"


# The voltage of a 12 V battery, or the gravity of battery acid: anything else is a slip.
BATTERY = Calculator(
    "battery",
    (
        Input("reading", (Quantity.VOLTAGE, Quantity.GRAVITY), low=Fraction(1), high=Fraction(18)),
        Input(
            "temperature",
            (Quantity.TEMPERATURE,),
            low=to_si(Fraction(-40), "degF"),
            high=to_si(Fraction(160), "degF"),
        ),
        Input("meter", (Quantity.VOLTAGE, Quantity.GRAVITY), optional=True),
    ),
    _calculate,
    sources=("bci_table", "army_freezing"),
)
