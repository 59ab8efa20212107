"""Threads, grades and the bounds of a torque that can belong to them: against slips, never a torque to use.

Stress area: metric pi/4 (d - 0.9382 P)^2 (ISO 898-1), inch pi/4 (d - 0.9743/n)^2 (ASME B1.1). Proof load = proof stress
times area; the usual clamp load is 75 % of it; torque T = K d F, with K from 0.15 (oiled) to 0.20 (plain and dry), as
charts of torque and tension have it. A torque is improbable above K 0.20 at the whole proof load and below a quarter of
the oiled torque: that is a slip of the unit or the wrong fastener. In between it is not shown to be right: a torque
wrench leaves the clamp load uncertain by a quarter to a third.
Proof stresses: ISO 898-1 (8.8: 580 MPa to M16, 10.9: 830 MPa); SAE J429 (grade 2: 55 ksi to 3/4 in, 5: 85 ksi, 8: 120).
Twin: `pwa/src/domain/bench/calculators/threads.ts`.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from shopapi.bench.rules.calculators.answers import PI
from shopapi.core.enums import TextEnum
from shopapi.core.quantities import UNITS, Quantity, units_of


class TorqueVerdict(TextEnum):
    PLAUSIBLE = "plausible"
    TOO_LOW = "too_low"
    TOO_HIGH = "too_high"


OILED, DRY = Fraction("0.15"), Fraction("0.20")
CLAMP_SHARE = Fraction(3, 4)
LEAST_SHARE = Fraction(1, 4)

# Diameter and pitch in mm: ISO 261 coarse. Diameter in inches and threads per inch: ASME B1.1 UNC and UNF.
METRIC: Mapping[str, tuple[str, str]] = {
    "M4x0.7": ("4", "0.7"),
    "M5x0.8": ("5", "0.8"),
    "M6x1": ("6", "1"),
    "M8x1.25": ("8", "1.25"),
    "M10x1.5": ("10", "1.5"),
    "M12x1.75": ("12", "1.75"),
    "M14x2": ("14", "2"),
    "M16x2": ("16", "2"),
}
INCH: Mapping[str, tuple[str, int]] = {
    "1/4-20": ("1/4", 20),
    "1/4-28": ("1/4", 28),
    "5/16-18": ("5/16", 18),
    "5/16-24": ("5/16", 24),
    "3/8-16": ("3/8", 16),
    "3/8-24": ("3/8", 24),
    "7/16-14": ("7/16", 14),
    "7/16-20": ("7/16", 20),
    "1/2-13": ("1/2", 13),
    "1/2-20": ("1/2", 20),
}
METRIC_GRADES: Mapping[str, int] = {"8.8": 580, "10.9": 830}
INCH_GRADES: Mapping[str, int] = {"2": 55, "5": 85, "8": 120}


@dataclass(frozen=True)
class Thread:
    """Diameter, pitch and stress area in base units; `inch` for unified threads."""

    diameter: Fraction
    pitch: Fraction
    inch: bool

    @property
    def stress_area(self) -> Fraction:
        factor = Fraction("0.9743") if self.inch else Fraction("0.9382")
        return PI / 4 * (self.diameter - factor * self.pitch) ** 2


@dataclass(frozen=True)
class Bounds:
    """In N.m: the usual torques oiled and dry, and those beyond which one is improbable."""

    oiled: Fraction
    dry: Fraction
    least: Fraction
    most: Fraction

    def verdict_of(self, torque: Fraction) -> TorqueVerdict:
        if torque < self.least:
            return TorqueVerdict.TOO_LOW
        return TorqueVerdict.TOO_HIGH if torque > self.most else TorqueVerdict.PLAUSIBLE


def thread_of(key: str) -> Thread:
    """The thread of a key of `METRIC` or `INCH`. Raises KeyError."""
    if key in METRIC:
        diameter, pitch = METRIC[key]
        return Thread(Fraction(diameter) * UNITS["mm"].factor, Fraction(pitch) * UNITS["mm"].factor, inch=False)
    inches, per_inch = INCH[key]
    return Thread(Fraction(inches) * UNITS["in"].factor, UNITS["in"].factor / per_inch, inch=True)


def proof_stress(thread: Thread, grade: str) -> Fraction | None:
    """In pascals; None for a grade that threads of this system do not have."""
    if thread.inch:
        return INCH_GRADES[grade] * 1000 * UNITS["psi"].factor if grade in INCH_GRADES else None
    return METRIC_GRADES[grade] * UNITS["MPa"].factor if grade in METRIC_GRADES else None


def bounds_of(thread: Thread, stress: Fraction) -> Bounds:
    proof = stress * thread.stress_area
    clamp = CLAMP_SHARE * proof
    oiled = OILED * thread.diameter * clamp
    dry = DRY * thread.diameter
    return Bounds(oiled=oiled, dry=dry * clamp, least=LEAST_SHARE * oiled, most=dry * proof)


def torque_plausible(thread: str, grade: str, value: Decimal, unit: str) -> TorqueVerdict | None:
    """Whether a torque can belong to a fastener as a mechanic writes it: "M8", "M8 x 1.25", "3/8-16"; "8.8", "grade 5".

    None where thread, grade or unit is not in the tables: then nothing can be said.

    >>> torque_plausible("M8", "8.8", Decimal(25), "N.m"), torque_plausible("3/8-16", "Grade 5", Decimal(31), "lbf.in")
    (<TorqueVerdict.PLAUSIBLE: 'plausible'>, <TorqueVerdict.TOO_LOW: 'too_low'>)
    >>> torque_plausible("M8", "A2-70", Decimal(25), "N.m")
    """
    plain = re.sub(r"[\s\"]", "", thread).lower().replace("\u00d7", "x")
    known = next((key for key in (*METRIC, *INCH) if plain in {key.lower(), key.lower().partition("x")[0]}), None)
    if known is None or unit not in units_of(Quantity.TORQUE):
        return None
    found = thread_of(known)
    stress = proof_stress(found, re.sub(r"^(grade|gr\.?)\s*", "", grade.strip().lower()))
    return None if stress is None else bounds_of(found, stress).verdict_of(Fraction(value) * UNITS[unit].factor)
