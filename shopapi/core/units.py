"""Weights and lengths as people type them ("900 lb", "24.25 in", "16 ft"), and as whole kilograms and centimetres.

A measure is stored twice: as typed (value and unit, to be shown unchanged) and as a whole number of kg or cm.
The figures of a check are exact: the typed value times its unit, a fraction without rounding. A typed value counts only
while it belongs to the whole number beside it; a client that writes only the number makes it the measure.

What a pound and an inch are is in `quantities.py`, the table of all units.
Twin: `pwa/src/domain/numbers/measures.ts`; both run the vectors of `fixtures/measures`.
"""

import re
from collections.abc import Mapping
from fractions import Fraction
from math import floor
from typing import Annotated

from pydantic import Field, StringConstraints

from shopapi.core.quantities import UNITS

KG_A_POUND = UNITS["lb"].factor
CM_AN_INCH = UNITS["in"].factor * 100

WEIGHTS: Mapping[str, Fraction] = {key: UNITS[key].factor for key in ("kg", "lb")}
LENGTHS: Mapping[str, Fraction] = {key: UNITS[key].factor * 100 for key in ("cm", "m", "in", "ft")}

AMOUNT = r"[0-9]{1,6}(\.[0-9]{1,4})?"
# "" where nothing was typed: only the whole number is known.
TypedWeight = Annotated[str, StringConstraints(pattern=rf"^({AMOUNT} (kg|lb))?$")]
TypedLength = Annotated[str, StringConstraints(pattern=rf"^({AMOUNT} (cm|m|in|ft))?$")]
# Of a group of figures: the figure's name ("gvwr_kg") and what was typed for it.
TypedFigures = Annotated[
    dict[
        Annotated[str, StringConstraints(pattern=r"^[a-z_]{1,30}_(kg|cm)$")],
        Annotated[str, StringConstraints(pattern=rf"^{AMOUNT} (kg|lb|cm|m|in|ft)$")],
    ],
    Field(max_length=20),
]


def exact(whole: int, typed: str) -> Fraction:
    """The measure without rounding, in the unit of `whole` (kilograms or centimetres).

    >>> exact(499, "1100 lb") == 1100 * KG_A_POUND, exact(500, "1100 lb"), exact(499, "")
    (True, Fraction(500, 1), Fraction(499, 1))
    """
    amount, _, unit = typed.partition(" ")
    factor = WEIGHTS.get(unit) or LENGTHS.get(unit)
    if factor is None or re.fullmatch(AMOUNT, amount) is None:
        return Fraction(whole)
    measure = Fraction(amount) * factor
    return measure if whole_of(measure) == whole else Fraction(whole)


def exact_or_none(whole: int | None, typed: str) -> Fraction | None:
    """As `exact`; None for None."""
    return None if whole is None else exact(whole, typed)


def whole_of(measure: Fraction) -> int:
    """The whole number of a typed measure: rounded half up, at least 1.

    >>> whole_of(Fraction("408.5")), whole_of(Fraction("0.2"))
    (409, 1)
    """
    return max(1, floor(measure + Fraction(1, 2)))


def pounds(kg: Fraction | float) -> Fraction:
    """Kilograms as pounds, exact where the kilograms are.

    >>> pounds(KG_A_POUND)
    Fraction(1, 1)
    """
    return Fraction(kg) / KG_A_POUND
