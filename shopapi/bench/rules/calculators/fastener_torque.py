"""Whether a torque can belong to a fastener; bounds and sources are in `threads.py`.

Twin: `pwa/src/domain/bench/calculators/fastenerTorque.ts`.
"""

from shopapi.bench.rules.calculators.answers import (
    Calculation,
    Calculator,
    Figure,
    Given,
    Input,
    WorkingStep,
    figure_in,
    number,
)
from shopapi.bench.rules.calculators.inputs import refuse
from shopapi.bench.rules.calculators.threads import (
    CLAMP_SHARE,
    INCH,
    INCH_GRADES,
    METRIC,
    METRIC_GRADES,
    Bounds,
    TorqueVerdict,
    bounds_of,
    proof_stress,
    thread_of,
)
from shopapi.core.quantities import UNITS, Quantity, units_of


def _unit_slip(torque: Figure, bounds: Bounds) -> tuple[WorkingStep, ...]:
    """The same number in another unit, where it would fit: most such slips are of the unit."""
    for unit in units_of(Quantity.TORQUE):
        if unit != torque.unit and bounds.verdict_of(torque.value * UNITS[unit].factor) is TorqueVerdict.PLAUSIBLE:
            return (WorkingStep("unit_slip", {"torque": Figure(torque.value, unit)}),)
    return ()


def _calculate(given: Given) -> Calculation:
    thread = thread_of(given.choices["thread"])
    stress = proof_stress(thread, given.choices["grade"])
    if stress is None:
        raise refuse("grade", "grade_misfit")
    bounds, torque = bounds_of(thread, stress), given.figures.get("torque")
    length, pressure, force = ("in", "psi", "lbf") if thread.inch else ("mm", "MPa", "N")
    # Small inch fasteners are tightened in pound-force inches.
    usual = ("lbf.in" if thread.diameter < UNITS["in"].factor * 3 / 8 else "lbf.ft") if thread.inch else "N.m"
    unit = torque.unit if torque else usual
    diameter, proof = figure_in(length, thread.diameter), stress * thread.stress_area
    clamp = figure_in(force, CLAMP_SHARE * proof)
    shown = {name: figure_in(unit, getattr(bounds, name)) for name in ("oiled", "dry", "least", "most")}
    area = Figure(thread.stress_area / UNITS[length].factor ** 2)
    steps = (
        WorkingStep(
            "area_in" if thread.inch else "area_mm", {"d": diameter, "p": figure_in(length, thread.pitch), "a": area}
        ),
        WorkingStep("proof", {"stress": figure_in(pressure, stress), "proof": figure_in(force, proof)}),
        WorkingStep("clamp", {"clamp": clamp}),
        WorkingStep(
            "torque", {"low": number("0.15"), "high": number("0.20"), "oiled": shown["oiled"], "dry": shown["dry"]}
        ),
        WorkingStep("bounds", {"least": shown["least"], "most": shown["most"]}),
    )
    # What is usual stays in the working: nobody is to take it for the torque to use.
    results = {"least": shown["least"], "most": shown["most"]}
    if torque is None:
        return Calculation(results, steps)
    verdict = bounds.verdict_of(torque.si)
    slip = () if verdict is TorqueVerdict.PLAUSIBLE else _unit_slip(torque, bounds)
    return Calculation(results, (*steps, *slip), verdict)


FASTENER_TORQUE = Calculator(
    "fastener_torque",
    (
        Input("thread", choices=(*METRIC, *INCH)),
        Input("grade", choices=(*METRIC_GRADES, *INCH_GRADES)),
        Input("torque", (Quantity.TORQUE,), optional=True),
    ),
    _calculate,
    sources=("iso_898_1", "sae_j429", "torque_charts"),
)
