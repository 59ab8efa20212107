"""Travel distances and times: an estimate that needs no network, and the reader of a matrix service's answer.

The estimate is the geodesic on the WGS 84 ellipsoid times a detour factor, at a speed. Both depend on the distance
band: each part of a drive uses the figures of the band that it lies in, so a longer drive never takes less time.
The default figures were chosen within published ranges (detours 1.2 to 1.4, short trips more winding; about 45 km/h
door to door). The shop sets its own, and `fit_profile` learns them from clocked drives. A place without a position is
refused by name: a distance is never silently zero.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil, floor, isfinite
from statistics import median
from typing import Any

import numpy as np

from shopapi.core.errors import Context, FieldError, Invalid, Reason
from shopapi.planner.geodesics import Metres, Position, geodesic_metres, pairwise_metres
from shopapi.planner.problem import TravelMatrix

# Fewer drives than this change no setting.
FEW_DRIVES = 5
# The slowest and fastest of nine drives bound the next one with a probability of 80 %, without other assumptions.
ENOUGH_FOR_INTERVAL = 9
# Two places at least this far apart cannot have a road of length 0.
SAME_PLACE_METRES = 50


@dataclass(frozen=True)
class NamedPosition:
    """The position of a shop or site; `name`, or the code of a name in the catalogs, is for messages."""

    name: str | Reason
    position: Position | None


@dataclass(frozen=True)
class DistanceBand:
    """The part of the straight distance up to `up_to` metres; None: all the rest."""

    up_to: int | None
    detour: float
    km_per_hour: float


@dataclass(frozen=True)
class TravelProfile:
    """Travel figures of a shop. `low` and `high`: the 80 % interval of driven time as shares of the estimate.

    `trailer`: time with a trailer as a share of time without. `per_stop`: seconds to turn in and set up. `farthest`:
    metres from the shop past which a position counts as an error. `drives`: how many it was learned from.
    """

    bands: tuple[DistanceBand, ...] = (
        DistanceBand(5_000, 1.4, 30),
        DistanceBand(40_000, 1.3, 45),
        DistanceBand(None, 1.2, 65),
    )
    trailer: float = 1.11
    per_stop: int = 240
    farthest: int = 500_000
    low: float = 0.75
    high: float = 1.5
    drives: int = 0


@dataclass(frozen=True)
class DriveEstimate:
    """One drive: metres of road, seconds, and the interval of seconds."""

    metres: int
    seconds: int
    low: int
    high: int


@dataclass(frozen=True)
class ClockedDrive:
    """A drive that was clocked; `metres` of road where the driver wrote them down."""

    straight: float
    seconds: int
    metres: int | None = None
    trailer: bool = False


class TableUnusable(Exception):
    """The matrix service's answer cannot be used, and why. The estimate is used instead."""

    def __init__(self, reason: Reason) -> None:
        super().__init__(f"{reason.code} {dict(reason.context) or ''}".rstrip())
        self.reason = reason


def estimate_drive(
    travel_profile: TravelProfile, straight: float, *, trailer: bool = False, extra: int = 0
) -> DriveEstimate:
    """A drive over this straight distance. `extra`: seconds that this very pair takes more (a river, a ferry)."""
    metres, seconds = map(float, _drives(travel_profile, np.float64(straight)))
    seconds *= travel_profile.trailer if trailer else 1
    whole = ceil(seconds) + extra
    return DriveEstimate(
        ceil(metres), whole, floor(seconds * travel_profile.low) + extra, ceil(seconds * travel_profile.high) + extra
    )


def _drives(travel_profile: TravelProfile, straight: Metres | np.float64) -> tuple[Metres, Metres]:
    """Metres of road and seconds without a trailer, for each of these straight distances."""
    metres = seconds = np.zeros_like(straight)
    begun = 0.0
    for band in travel_profile.bands:
        part = np.clip(straight, begun, band.up_to) - begun
        metres = metres + part * band.detour
        seconds = seconds + part * band.detour / (band.km_per_hour / 3.6)
        begun = band.up_to or begun
    return metres, seconds


def fit_profile(travel_profile: TravelProfile, drives: Sequence[ClockedDrive]) -> TravelProfile:
    """The profile fitted to clocked drives: speeds and detours by the median drive, the interval by order statistics.

    Fewer than five drives change nothing. For the interval: of n exchangeable drives the next
    one lies between the r-th and the s-th with a chance of (s - r) / (n + 1).
    """
    usable = [drive for drive in drives if drive.straight > SAME_PLACE_METRES and drive.seconds > 0]
    if len(usable) < FEW_DRIVES:
        return travel_profile
    lengths = [
        drive.metres / estimate_drive(travel_profile, drive.straight).metres
        for drive in usable
        if drive.metres is not None
    ]
    winding = median(lengths) if len(lengths) >= FEW_DRIVES else 1.0
    slower = sorted(
        drive.seconds / estimate_drive(travel_profile, drive.straight, trailer=drive.trailer).seconds
        for drive in usable
    )
    middle = median(slower)
    bands = tuple(
        replace(band, detour=band.detour * winding, km_per_hour=band.km_per_hour * winding / middle)
        for band in travel_profile.bands
    )
    low, high = travel_profile.low, travel_profile.high
    if len(slower) >= ENOUGH_FOR_INTERVAL:
        aside = max(1, floor((len(slower) + 1) / 10))
        low, high = slower[aside - 1] / middle, slower[-aside] / middle
    return replace(travel_profile, bands=bands, low=low, high=high, drives=len(usable))


def estimate_matrix(
    travel_profile: TravelProfile,
    places: Sequence[NamedPosition],
    *,
    trailer: bool = False,
    extra: Mapping[frozenset[int], int] | None = None,
) -> TravelMatrix:
    """The road table of these places, the first of which is the shop. `extra`: seconds for a pair of them.

    Raises:
        Invalid: naming each place without a position, or with one that is implausibly far from the shop.
    """
    straight = pairwise_metres([place.position or _NOWHERE for place in places])
    _refuse_unusable(travel_profile, places, straight[0] if places else ())
    metres, seconds = _drives(travel_profile, straight)
    seconds = np.ceil(seconds * (travel_profile.trailer if trailer else 1)).astype(np.int64)
    # Two machines in one yard are set up for once, and at the shop nothing is.
    seconds[:, 1:] += np.where(straight[:, 1:] > SAME_PLACE_METRES, travel_profile.per_stop, 0)
    for pair, more in (extra or {}).items():
        one, other = pair
        seconds[one, other] += more
        seconds[other, one] += more
    return TravelMatrix(_rows(np.ceil(metres).astype(np.int64)), _rows(seconds))


def _rows(table: Metres) -> tuple[tuple[int, ...], ...]:
    return tuple(map(tuple, table.tolist()))


# In place of a position that is missing, until that is refused.
_NOWHERE = Position(0, 0)


def check_position(travel_profile: TravelProfile, shop: NamedPosition, place: NamedPosition) -> None:
    """Raise Invalid as `estimate_matrix` of the shop and this place would."""
    away = 0.0
    if shop.position is not None and place.position is not None:
        away = geodesic_metres(shop.position, place.position)
    _refuse_unusable(travel_profile, (shop, place), (0.0, away))


def _refuse_unusable(travel_profile: TravelProfile, places: Sequence[NamedPosition], away: Sequence[float]) -> None:
    """Raise Invalid if a place has no position, or one that is too far `away` from the first, in metres."""
    faults = []
    for number, (place, metres) in enumerate(zip(places, away, strict=True)):
        field = f"places.{number}.position"
        if place.position is None:
            faults.append(FieldError(field, "position_missing", context={"name": place.name}))
        elif places[0].position is not None and metres > travel_profile.farthest:
            context: Context = {"name": place.name, "kilometres": round(metres / 1000)}
            faults.append(FieldError(field, "position_far", context=context))
    if faults:
        raise Invalid("position", reason=faults[0].reason, fields=faults)


def table_query(positions: Sequence[Position]) -> str:
    """The path and query of a request to OSRM's table service, after its base URL."""
    points = ";".join(f"{position.longitude:.6f},{position.latitude:.6f}" for position in positions)
    return f"/table/v1/driving/{points}?annotations=duration,distance"


def read_table(
    payload: Any, travel_profile: TravelProfile, places: Sequence[NamedPosition], *, trailer: bool = False
) -> TravelMatrix:
    """The road table in a service's answer; pairs that it has no road for are estimated.

    Raises:
        TableUnusable: it is no such table, or says that two places far apart have nothing between them.
        Invalid: a place has no position.
    """
    estimated = estimate_matrix(travel_profile, places, trailer=trailer)
    size = len(places)
    if not isinstance(payload, dict) or payload.get("code") != "Ok":
        raise TableUnusable(Reason("service_answer_no_table"))
    drives, lengths = (_square(payload.get(name), size, name) for name in ("durations", "distances"))
    metres = [list(row) for row in estimated.metres]
    seconds = [list(row) for row in estimated.seconds]
    for one in range(size):
        for other in range(size):
            drive, length = drives[one][other], lengths[one][other]
            if one == other or drive is None or length is None:
                continue
            if (drive <= 0 or length <= 0) and estimated.metres[one][other] > SAME_PLACE_METRES:
                raise TableUnusable(
                    Reason("service_between_nothing", {"one": places[one].name, "other": places[other].name})
                )
            stopping = travel_profile.per_stop if other and estimated.metres[one][other] > SAME_PLACE_METRES else 0
            metres[one][other] = ceil(length)
            seconds[one][other] = ceil(drive * (travel_profile.trailer if trailer else 1)) + stopping
    return TravelMatrix(tuple(map(tuple, metres)), tuple(map(tuple, seconds)))


def pairs_without_road(
    table: Mapping[str, Any], places: Sequence[NamedPosition]
) -> list[tuple[str | Reason, str | Reason]]:
    """The pairs of places between which a table that could be read has no road."""
    return [
        (one.name, other.name)
        for at, one in enumerate(places)
        for to, other in enumerate(places)
        if at != to and None in (table["durations"][at][to], table["distances"][at][to])
    ]


def _square(table: Any, size: int, name: str) -> list[list[float | None]]:
    if not isinstance(table, list) or len(table) != size:
        raise TableUnusable(Reason("service_table_rows", {"table": name, "size": size}))
    for row in table:
        if not isinstance(row, list) or len(row) != size:
            raise TableUnusable(Reason("service_table_width", {"table": name, "size": size}))
        for figure in row:
            if figure is not None and (not isinstance(figure, int | float) or not isfinite(figure) or figure < 0):
                raise TableUnusable(Reason("service_table_figure", {"table": name, "figure": repr(figure)}))
    return table


NUMBER = r"[-+]?\d{1,3}(?:\.\d+)?"
# RFC 5870: geo:latitude,longitude[,altitude][;parameters]
GEO_URI = re.compile(rf"geo:({NUMBER}),({NUMBER})(?:,{NUMBER})?(?:;.*)?", re.IGNORECASE)
PAIR = re.compile(rf"({NUMBER})\s*°?\s*([NS])?\s*[,;\s]\s*({NUMBER})\s*°?\s*([EW])?", re.IGNORECASE)


def read_position(text: str, *, field: str = "position") -> Position:
    """Parse a pasted position: a geo: URI, or latitude and longitude in decimal degrees.

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
    return Invalid("position_unreadable", fields=[FieldError(field, "position_unreadable")])
