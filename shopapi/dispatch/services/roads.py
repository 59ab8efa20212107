"""Travel times between places: the shop's own rule, or a matrix service where one is set up.

The service speaks the OSRM table format. What it said of a pair is kept for a month; when it is down, slow or says
nonsense the rule stands in for it, and the plan says so.
"""

import hashlib
import json
from collections.abc import Sequence
from contextlib import suppress
from typing import Any, Literal

import requests
from django.conf import settings
from django.core.cache import cache
from redis.exceptions import RedisError

from shopapi.dispatch.rules.problem import Roads
from shopapi.dispatch.rules.travel import (
    Habits,
    Place,
    Position,
    TableUnusable,
    estimated_roads,
    read_table,
    table_query,
)

TIMEOUT = (2, 8)
MOST_BYTES = 20_000_000
KEPT_SECONDS = 30 * 24 * 3600

Source = Literal["rule", "service", "fallback"]


def roads_between(habits: Habits, places: Sequence[Place]) -> tuple[Roads, Source, list[str]]:
    """The road table of places with positions, whence it comes, and what to say of it.

    Raises Invalid when a place has no position or one that cannot be meant.
    """
    by_rule = estimated_roads(habits, places, trailer=True)
    base = settings.MATRIX_URL
    if not base:
        return by_rule, "rule", []
    positions = [place.position for place in places if place.position is not None]
    try:
        return read_table(_table(base, positions), habits, places, trailer=True), "service", []
    except (requests.RequestException, TableUnusable, ValueError) as failed:
        why = str(failed) if isinstance(failed, TableUnusable) else "it does not answer"
        words = f"The service for travel times could not be used ({why}); times are by the shop's own rule."
        return by_rule, "fallback", [words]


def _table(base: str, positions: Sequence[Position]) -> dict[str, Any]:
    """The answer of the service, or the same put together from what it said of each pair before."""
    keys = [[_key(base, one, other) for other in positions] for one in positions]
    known: dict[str, Any] = {}
    # A cache that is down only costs another question.
    with suppress(RedisError):
        known = cache.get_many([key for row in keys for key in row])
    if all(key in known for at, row in enumerate(keys) for to, key in enumerate(row) if at != to):
        pairs = [[known.get(key, (0, 0)) for key in row] for row in keys]
        return {
            "code": "Ok",
            "durations": [[pair[0] for pair in row] for row in pairs],
            "distances": [[pair[1] for pair in row] for row in pairs],
        }
    answer = _ask(base, positions)
    with suppress(RedisError, KeyError, TypeError, IndexError):
        fresh = {
            key: (answer["durations"][at][to], answer["distances"][at][to])
            for at, row in enumerate(keys)
            for to, key in enumerate(row)
            if at != to
        }
        cache.set_many(fresh, KEPT_SECONDS)
    return answer


def _ask(base: str, positions: Sequence[Position]) -> dict[str, Any]:
    with requests.get(
        base.rstrip("/") + table_query(positions), timeout=TIMEOUT, allow_redirects=False, stream=True
    ) as answer:
        if answer.status_code != 200:
            raise TableUnusable(f"it answered {answer.status_code}")
        body = answer.raw.read(MOST_BYTES + 1, decode_content=True)
    if len(body) > MOST_BYTES:
        raise TableUnusable("its answer is too long")
    table = json.loads(body)
    if not isinstance(table, dict):
        raise TableUnusable("the service answered with no table")
    return table


def _key(base: str, one: Position, other: Position) -> str:
    pair = f"{base}|{one.latitude:.5f},{one.longitude:.5f}|{other.latitude:.5f},{other.longitude:.5f}"
    return "road:" + hashlib.sha256(pair.encode()).hexdigest()
