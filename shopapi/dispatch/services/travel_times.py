"""Travel times between places: estimated from distance, or from a matrix service where one is set up.

The service has the OSRM table API. Its answer for a pair is cached for a month; when it is down, slow or gives
invalid values, the estimate is used and the plan says so.
"""

import hashlib
import json
from collections.abc import Sequence
from contextlib import suppress
from typing import Any

from django.conf import settings
from django.core.cache import cache
from redis.exceptions import RedisError

from shopapi.core.bounded_get import Limits, NoUsableAnswer, get_bounded
from shopapi.core.errors import Context, Reason
from shopapi.dispatch.rules.schemas.plan import RemarkRow, RoadSource
from shopapi.planner.geodesics import Position
from shopapi.planner.problem import TravelMatrix
from shopapi.planner.travel import (
    NamedPosition,
    TableUnusable,
    TravelProfile,
    estimate_matrix,
    pairs_without_road,
    read_table,
    table_query,
)

LIMITS = Limits(timeout=(2, 8), within_seconds=20, most_bytes=20_000_000)
# What is said of an answer that is over a limit.
_REASONS = {"too_long": "service_answer_too_long", "too_slow": "service_answer_too_slow", "silent": "service_silent"}
KEPT_SECONDS = 30 * 24 * 3600


def load_travel_matrices(
    travel_profile: TravelProfile, places: Sequence[NamedPosition]
) -> tuple[tuple[TravelMatrix, TravelMatrix], RoadSource, list[RemarkRow]]:
    """The travel matrices of places (with a trailer, without one), their source, and remarks about them.

    Raises Invalid when a place has no position or an implausible one.
    """
    by_rule = (estimate_matrix(travel_profile, places, trailer=True), estimate_matrix(travel_profile, places))
    base = settings.MATRIX_URL
    if not base:
        return by_rule, "rule", []
    positions = [place.position for place in places if place.position is not None]
    try:
        table, is_new = _table(base, positions)
        roads = (read_table(table, travel_profile, places, trailer=True), read_table(table, travel_profile, places))
    except (TableUnusable, ValueError) as failed:
        why = failed.reason if isinstance(failed, TableUnusable) else Reason("service_silent")
        return by_rule, "fallback", [RemarkRow.because("roads_unusable", Reason("roads_unusable", {"why": why}))]
    # Only valid values are cached, so that an error of the service does not last for a month.
    if is_new:
        _keep(base, positions, table)
    return roads, "service", _holes(pairs_without_road(table, places))


def _holes(pairs: Sequence[tuple[str | Reason, str | Reason]]) -> list[RemarkRow]:
    if not pairs:
        return []
    (one, other), *more = pairs
    context: Context = {"one": one, "other": other, "more": len(more)}
    return [RemarkRow.because("roads_missing", Reason("roads_missing_more" if more else "roads_missing", context))]


def _table(base: str, positions: Sequence[Position]) -> tuple[dict[str, Any], bool]:
    """The service's table, from the cache or from a new request; True for the latter."""
    keys = _keys(base, positions)
    known: dict[str, Any] = {}
    # Without a cache the service is asked again.
    with suppress(RedisError):
        known = cache.get_many([key for row in keys for key in row])
    if not all(key in known for at, row in enumerate(keys) for to, key in enumerate(row) if at != to):
        return _ask(base, positions), True
    pairs = [[known.get(key, (0, 0)) for key in row] for row in keys]
    durations, distances = ([[pair[which] for pair in row] for row in pairs] for which in (0, 1))
    return {"code": "Ok", "durations": durations, "distances": distances}, False


def _keep(base: str, positions: Sequence[Position], table: dict[str, Any]) -> None:
    fresh = {
        key: (table["durations"][at][to], table["distances"][at][to])
        for at, row in enumerate(_keys(base, positions))
        for to, key in enumerate(row)
        if at != to
    }
    with suppress(RedisError):
        cache.set_many(fresh, KEPT_SECONDS)


def _keys(base: str, positions: Sequence[Position]) -> list[list[str]]:
    return [[_key(base, one, other) for other in positions] for one in positions]


def _ask(base: str, positions: Sequence[Position]) -> dict[str, Any]:
    try:
        body = get_bounded(base.rstrip("/") + table_query(positions), LIMITS)
    except NoUsableAnswer as failed:
        if failed.code == "status":
            raise TableUnusable(Reason("service_answered_status", {"status": failed.status})) from failed
        raise TableUnusable(Reason(_REASONS[failed.code])) from failed
    table = json.loads(body)
    if not isinstance(table, dict):
        raise TableUnusable(Reason("service_answer_no_table"))
    return table


def _key(base: str, one: Position, other: Position) -> str:
    pair = f"{base}|{one.latitude:.5f},{one.longitude:.5f}|{other.latitude:.5f},{other.longitude:.5f}"
    return "road:" + hashlib.sha256(pair.encode()).hexdigest()
