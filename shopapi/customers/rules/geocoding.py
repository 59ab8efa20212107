"""What a geocoder says of an address: the open form of `/search?format=jsonv2`, read with distrust.

An answer is a list of places, the best first, with `lat`, `lon` and `boundingbox` (south, north, west, east) as text in
degrees (nominatim.org, API reference, "Place Output").
"""

from collections.abc import Sequence
from decimal import Decimal, InvalidOperation
from math import ceil
from typing import Any

from shopapi.customers.rules.postal_codes import PostalArea
from shopapi.planner.geodesics import Position, geodesic_metres

# A house is found no more exactly than this.
LEAST_METRES = 50
# What is spread out further, a county, says less than the postal code.
MOST_METRES = 40_000
# Codes' areas are estimates: so much beyond one an address may lie.
BESIDE_METRES = 20_000


def read_answer(answer: object, area: PostalArea | None) -> PostalArea | None:
    """The place of the best answer, and how far off it may be; None where there is none that can be believed.

    `area`: where the postal code of the address is. A place far from there is another one of that name.
    """
    best = answer[0] if isinstance(answer, list) and answer else None
    if not isinstance(best, dict):
        return None
    found = _position(best.get("lat"), best.get("lon"))
    if found is None:
        return None
    reach = _reach(found, best.get("boundingbox"))
    if reach > MOST_METRES:
        return None
    if area is not None and _metres(found, (area.lat, area.lon)) > area.within_m + BESIDE_METRES:
        return None
    return PostalArea(round(found[0], 6), round(found[1], 6), max(LEAST_METRES, ceil(reach)))


def _position(lat: object, lon: object) -> tuple[Decimal, Decimal] | None:
    degrees = [_number(lat, 90), _number(lon, 180)]
    return None if degrees[0] is None or degrees[1] is None else (degrees[0], degrees[1])


def _number(value: object, most: int) -> Decimal | None:
    """A number of degrees as text or as a number; None for anything else, and beyond `most`."""
    if isinstance(value, bool) or not isinstance(value, str | int | float) or len(str(value)) > 40:
        return None
    try:
        number = Decimal(str(value))
    except InvalidOperation:
        return None
    return number if number.is_finite() and abs(number) <= most else None


def _reach(found: tuple[Decimal, Decimal], box: Any) -> float:
    """Metres from the place to the further one of two opposite corners of its box; past all where that is no box."""
    if box is None:
        return LEAST_METRES
    if not isinstance(box, Sequence) or isinstance(box, str) or len(box) != 4:
        return MOST_METRES + 1
    corners = [_position(box[0], box[2]), _position(box[1], box[3])]
    return max(MOST_METRES + 1 if corner is None else _metres(found, corner) for corner in corners)


def _metres(one: tuple[Decimal, Decimal], other: tuple[Decimal, Decimal]) -> float:
    return geodesic_metres(Position(*map(float, one)), Position(*map(float, other)))
