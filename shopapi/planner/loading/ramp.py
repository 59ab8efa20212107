"""Ramps: angle, required length, and whether a machine hangs up at the top edge."""

from dataclasses import dataclass
from math import asin, atan, degrees, radians, sin

# Manufacturers' usual limits: at most 15 degrees, and a ramp four times as long as the deck is high.
STEEPEST_DEGREES = 15.0


@dataclass(frozen=True)
class Ramp:
    """Centimetres along the ramp, and from the ground to the deck with the trailer hitched."""

    length_cm: float
    height_cm: float


@dataclass(frozen=True)
class RampCheck:
    """`over_degrees` of a machine: the crest that its underside just clears; None: its measures are not known."""

    degrees: float
    within: bool
    needed_cm: float
    over_degrees: float | None
    clears: bool | None


def check_ramp(
    ramp: Ramp,
    *,
    wheelbase_cm: float | None = None,
    clearance_cm: float | None = None,
    steepest: float = STEEPEST_DEGREES,
) -> RampCheck:
    """The ramp's angle against the steepest one wanted, and the machine's belly against the crest.

    A belly `clearance` above the ground midway between the axles clears a crest of 2 atan(2 clearance / wheelbase).

    Raises:
        ValueError: the ramp is not longer than the deck is high, so it reaches no deck.
    """
    if ramp.height_cm < 0 or ramp.length_cm <= ramp.height_cm:
        raise ValueError("ramp_too_short")
    angle = degrees(asin(ramp.height_cm / ramp.length_cm))
    over = degrees(2 * atan(2 * clearance_cm / wheelbase_cm)) if wheelbase_cm and clearance_cm is not None else None
    needed = shortest_cm(ramp.height_cm, steepest)
    return RampCheck(angle, angle <= steepest, needed, over, None if over is None else over > angle)


def shortest_cm(height_cm: float, steepest: float = STEEPEST_DEGREES) -> float:
    """The shortest ramp that is no steeper than `steepest` degrees."""
    return height_cm / sin(radians(steepest))
