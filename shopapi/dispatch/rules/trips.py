"""Trips of a run whose order people choose: where it goes by the shop, with places counted from 0 without a gap.

Twin: `pwa/src/domain/trips.ts`.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from uuid import UUID

from shopapi.dispatch.rules.states import OPEN_STOPS


@dataclass(frozen=True)
class InOrder:
    """A stop in its place: the trip, and the position on it."""

    id: UUID
    trip: int
    position: int
    state: str


def with_reload(stops: Sequence[InOrder], after: UUID) -> list[InOrder] | None:
    """The same order, but by way of the shop after one stop.

    None: nothing follows it on its trip, or somebody has been to what follows.
    """
    here = next(stop for stop in stops if stop.id == after)
    later = {stop.id for stop in stops if stop.trip == here.trip and stop.position > here.position}
    if not later or not all(stop.state in OPEN_STOPS for stop in stops if stop.id in later):
        return None
    return in_places(
        replace(stop, trip=stop.trip + 1) if stop.id in later or stop.trip > here.trip else stop for stop in stops
    )


def without_reload(stops: Sequence[InOrder], after: UUID) -> list[InOrder] | None:
    """The same order, but straight on after the last stop of a trip.

    None: it is not the last one, no trip follows, or the one that follows has begun.
    """
    here = next(stop for stop in stops if stop.id == after)
    if any(stop.trip == here.trip and stop.position > here.position for stop in stops):
        return None
    following = min((stop.trip for stop in stops if stop.trip > here.trip), default=None)
    if following is None or not all(stop.state in OPEN_STOPS for stop in stops if stop.trip == following):
        return None
    return in_places(
        replace(stop, trip=here.trip, position=here.position + 1 + stop.position) if stop.trip == following else stop
        for stop in stops
    )


def in_places(stops: Iterable[InOrder]) -> list[InOrder]:
    """The same order, counted from 0 without a gap."""
    order = sorted(stops, key=lambda stop: (stop.trip, stop.position, stop.id))
    trips = sorted({stop.trip for stop in order})
    return [
        replace(stop, trip=number, position=position)
        for number, trip in enumerate(trips)
        for position, stop in enumerate(one for one in order if one.trip == trip)
    ]
