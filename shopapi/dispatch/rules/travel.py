"""How far and how long: an estimate that needs no network, and the reading of a matrix service's table.

The estimate is the geodesic on the WGS 84 ellipsoid times a detour, at a speed; both by bands of straight distance, the
part of a drive that lies in each band by that band's figures, so that farther is never sooner. Default figures are
ours, chosen within published ones (detours 1.2 to 1.4, short trips the more winding; door to door about 45 km/h); the
shop sets its own, and `fit` learns them from its clocked drives. A place with no position is refused by name: no road
is ever a silent zero.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil, floor, isfinite
from statistics import median
from typing import Any

from geographiclib.geodesic import Geodesic

from shopapi.core.errors import FieldError, Invalid
from shopapi.dispatch.rules.problem import Roads

# Figures from fewer drives than this say too little to move a setting.
FEW_DRIVES = 5
# With nine drives the slowest and the fastest bound the next one four times in five, with no other assumption.
ENOUGH_FOR_INTERVAL = 9
# Two places this far apart have a road between them that is longer than nothing.
SAME_PLACE_METRES = 50


@dataclass(frozen=True)
class Position:
    """Degrees, WGS 84."""

    latitude: float
    longitude: float


@dataclass(frozen=True)
class Place:
    """A shop or site as the planner meets it; `name` is what people call it."""

    name: str
    position: Position | None


@dataclass(frozen=True)
class Band:
    """The part of the straight distance up to `up_to` metres; None: all the rest."""

    up_to: int | None
    detour: float
    km_per_hour: float


@dataclass(frozen=True)
class Habits:
    """What a shop knows of its roads. `low` and `high`: driven time as a share of the estimate, four times in five.

    `trailer`: time with a trailer as a share of time without. `per_stop`: seconds to turn in and set up. `farthest`:
    metres from the shop past which a position is taken for a slip. `drives`: how many it was learned from.
    """

    bands: tuple[Band, ...] = (Band(5_000, 1.4, 30), Band(40_000, 1.3, 45), Band(None, 1.2, 65))
    trailer: float = 1.11
    per_stop: int = 240
    farthest: int = 500_000
    low: float = 0.75
    high: float = 1.5
    drives: int = 0


@dataclass(frozen=True)
class Estimate:
    """One drive: metres of road, seconds, and the interval of seconds."""

    metres: int
    seconds: int
    low: int
    high: int


@dataclass(frozen=True)
class Drive:
    """A drive that was clocked; `metres` of road where the driver wrote them down."""

    straight: float
    seconds: int
    metres: int | None = None
    trailer: bool = False


class TableUnusable(Exception):
    """The matrix service's answer cannot be used; the reason in one line. The estimate stands in for it."""


def straight_metres(one: Position, other: Position) -> float:
    """Along the geodesic; GeographicLib, the reference implementation of Karney, J. Geodesy 87 (2013) 43-55."""
    ends = Geodesic.WGS84.Inverse(one.latitude, one.longitude, other.latitude, other.longitude, Geodesic.DISTANCE)
    return float(ends["s12"])


def estimate(habits: Habits, straight: float, *, trailer: bool = False, extra: int = 0) -> Estimate:
    """A drive over this straight distance. `extra`: seconds that this very pair takes more (a river, a ferry)."""
    metres = seconds = 0.0
    begun = 0.0
    for band in habits.bands:
        part = (straight if band.up_to is None else min(straight, band.up_to)) - begun
        if part <= 0:
            break
        metres += part * band.detour
        seconds += part * band.detour / (band.km_per_hour / 3.6)
        begun += part
    seconds *= habits.trailer if trailer else 1
    whole = ceil(seconds) + extra
    return Estimate(ceil(metres), whole, floor(seconds * habits.low) + extra, ceil(seconds * habits.high) + extra)


def fit(habits: Habits, drives: Sequence[Drive]) -> Habits:
    """The habits, moved to what was driven: speeds by the middle drive, detours likewise, the interval by its ends.

    Fewer than five drives move nothing. The interval is that of order statistics: of n exchangeable drives the next
    one lies between the r-th and the s-th with a chance of (s - r) / (n + 1).
    """
    usable = [drive for drive in drives if drive.straight > SAME_PLACE_METRES and drive.seconds > 0]
    if len(usable) < FEW_DRIVES:
        return habits
    lengths = [drive.metres / estimate(habits, drive.straight).metres for drive in usable if drive.metres is not None]
    winding = median(lengths) if len(lengths) >= FEW_DRIVES else 1.0
    slower = sorted(drive.seconds / estimate(habits, drive.straight, trailer=drive.trailer).seconds for drive in usable)
    middle = median(slower)
    bands = tuple(
        replace(band, detour=band.detour * winding, km_per_hour=band.km_per_hour * winding / middle)
        for band in habits.bands
    )
    low, high = habits.low, habits.high
    if len(slower) >= ENOUGH_FOR_INTERVAL:
        aside = max(1, floor((len(slower) + 1) / 10))
        low, high = slower[aside - 1] / middle, slower[-aside] / middle
    return replace(habits, bands=bands, low=low, high=high, drives=len(usable))


def estimated_roads(
    habits: Habits,
    places: Sequence[Place],
    *,
    trailer: bool = False,
    extra: Mapping[frozenset[int], int] | None = None,
) -> Roads:
    """The road table of these places, the first of which is the shop. `extra`: seconds for a pair of them.

    Raises:
        Invalid: naming each place that has no position, or one too far from the shop to be meant.
    """
    positions = _positions(habits, places)
    size = len(positions)
    metres = [[0] * size for _ in range(size)]
    seconds = [[0] * size for _ in range(size)]
    for one in range(size):
        for other in range(one + 1, size):
            straight = straight_metres(positions[one], positions[other])
            more = (extra or {}).get(frozenset({one, other}), 0)
            drive = estimate(habits, straight, trailer=trailer, extra=more)
            # Two machines in one yard are set up for once.
            stopping = habits.per_stop if straight > SAME_PLACE_METRES else 0
            metres[one][other] = metres[other][one] = drive.metres
            seconds[one][other] = drive.seconds + stopping
            seconds[other][one] = drive.seconds + (stopping if one else 0)
    return Roads(tuple(map(tuple, metres)), tuple(map(tuple, seconds)))


def _positions(habits: Habits, places: Sequence[Place]) -> list[Position]:
    faults = []
    shop = places[0].position if places else None
    for number, place in enumerate(places):
        field = f"places.{number}.position"
        if place.position is None:
            words = f"{place.name} has no position yet. Tap it on the map, paste coordinates, or say it when there."
            faults.append(FieldError(field, "position_missing", words))
        elif shop is not None and (away := straight_metres(shop, place.position)) > habits.farthest:
            words = f"{place.name} lies {round(away / 1000)} km from the shop. Is its position a slip?"
            faults.append(FieldError(field, "position_far", words))
    if faults:
        raise Invalid("position", faults[0].words, fields=faults)
    return [place.position for place in places if place.position is not None]


def table_query(positions: Sequence[Position]) -> str:
    """What is asked of a service with OSRM's table interface, after its base URL."""
    points = ";".join(f"{position.longitude:.6f},{position.latitude:.6f}" for position in positions)
    return f"/table/v1/driving/{points}?annotations=duration,distance"


def read_table(payload: Any, habits: Habits, places: Sequence[Place], *, trailer: bool = False) -> Roads:
    """The road table in a service's answer; pairs that it has no road for are estimated.

    Raises:
        TableUnusable: it is no such table, or says that two places far apart have nothing between them.
        Invalid: a place has no position.
    """
    estimated = estimated_roads(habits, places, trailer=trailer)
    size = len(places)
    if not isinstance(payload, dict) or payload.get("code") != "Ok":
        raise TableUnusable("the service answered with no table")
    drives, lengths = (_square(payload.get(name), size, name) for name in ("durations", "distances"))
    metres = [list(row) for row in estimated.metres]
    seconds = [list(row) for row in estimated.seconds]
    for one in range(size):
        for other in range(size):
            drive, length = drives[one][other], lengths[one][other]
            if one == other or drive is None or length is None:
                continue
            if (drive <= 0 or length <= 0) and estimated.metres[one][other] > SAME_PLACE_METRES:
                raise TableUnusable(f"it has nothing between {places[one].name} and {places[other].name}")
            stopping = habits.per_stop if other and estimated.metres[one][other] > SAME_PLACE_METRES else 0
            metres[one][other] = ceil(length)
            seconds[one][other] = ceil(drive * (habits.trailer if trailer else 1)) + stopping
    return Roads(tuple(map(tuple, metres)), tuple(map(tuple, seconds)))


def roadless(table: Mapping[str, Any], places: Sequence[Place]) -> list[tuple[str, str]]:
    """The pairs of places between which a table that could be read has no road."""
    return [
        (one.name, other.name)
        for at, one in enumerate(places)
        for to, other in enumerate(places)
        if at != to and None in (table["durations"][at][to], table["distances"][at][to])
    ]


def _square(table: Any, size: int, name: str) -> list[list[float | None]]:
    if not isinstance(table, list) or len(table) != size:
        raise TableUnusable(f"its {name} are not {size} rows")
    for row in table:
        if not isinstance(row, list) or len(row) != size:
            raise TableUnusable(f"its {name} are not {size} figures a row")
        for figure in row:
            if figure is not None and (not isinstance(figure, int | float) or not isfinite(figure) or figure < 0):
                raise TableUnusable(f"its {name} hold {figure!r}")
    return table


NUMBER = r"[-+]?\d{1,3}(?:\.\d+)?"
# RFC 5870: geo:latitude,longitude[,altitude][;parameters]
GEO_URI = re.compile(rf"geo:({NUMBER}),({NUMBER})(?:,{NUMBER})?(?:;.*)?", re.IGNORECASE)
PAIR = re.compile(rf"({NUMBER})\s*°?\s*([NS])?\s*[,;\s]\s*({NUMBER})\s*°?\s*([EW])?", re.IGNORECASE)


def read_position(text: str, *, field: str = "position") -> Position:
    """A position from what a person pastes: a geo: URI, or latitude and longitude in decimal degrees.

    Raises:
        Invalid: it is neither, or lies on no globe.
    """
    text = text.strip()
    if found := GEO_URI.fullmatch(text):
        latitude, longitude = float(found[1]), float(found[2])
        crs = re.search(r";crs=([^;]+)", text, re.IGNORECASE)
        if crs is not None and crs[1].lower() != "wgs84":
            raise _no_position(field)
    elif found := PAIR.fullmatch(text):
        latitude = float(found[1]) * (-1 if (found[2] or "").upper() == "S" else 1)
        longitude = float(found[3]) * (-1 if (found[4] or "").upper() == "W" else 1)
    else:
        raise _no_position(field)
    if not -90 <= latitude <= 90 or not -180 <= longitude <= 180:
        raise _no_position(field)
    return Position(latitude, longitude)


def _no_position(field: str) -> Invalid:
    words = 'Write latitude and longitude in degrees, such as "40.71280, -74.00600", or paste a geo: link.'
    return Invalid("position_unreadable", words, fields=[FieldError(field, "position_unreadable", words)])
