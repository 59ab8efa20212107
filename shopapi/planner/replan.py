"""Replans the rest of a day that has begun: done stops stay, promised windows are kept."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from shopapi.planner.problem import Problem, RigDay, Route, StopTask, TimeWindow


@dataclass(frozen=True)
class RigPosition:
    """Where a rig is now. `place` None: at the shop. `free_at`: when it can move on from there.

    `underway`: the stops that it is on its way to, in order, and that nothing may change any more; it is planned from
    the last of them on. `aboard`: the machines on its deck, front first; the load of machines for the shop is computed.
    `undelivered`: of those, what could not be handed over and comes home again. `out`: it broke down; it goes nowhere,
    and the machines on it stay there.
    """

    place: int | None
    free_at: int
    underway: tuple[str, ...] = ()
    aboard: tuple[str, ...] = ()
    undelivered: frozenset[str] = frozenset()
    out: bool = False


@dataclass(frozen=True)
class RemainingDay:
    """The problem of the rest of the day, and the remaining parts of the old routes."""

    problem: Problem
    before: tuple[Route, ...]


def remaining_problem(
    problem: Problem,
    routes: Sequence[Route],
    rig_positions: Mapping[str, RigPosition],
    *,
    done: frozenset[str] = frozenset(),
    cancelled: frozenset[str] = frozenset(),
    promised: Mapping[str, TimeWindow] | None = None,
) -> RemainingDay:
    """The problem of the remaining day. `promised`: the window promised to a customer; it narrows the stop's windows.

    A promise that no longer meets any window of its stop is kept as the one window there is: the check then names it.
    """
    underway = {key for each in rig_positions.values() for key in each.underway}
    gone = done | cancelled | underway
    stops = tuple(
        _with_promise(_without_done_predecessor(stop, gone), (promised or {}).get(stop.key))
        for stop in problem.stops
        if stop.key not in gone
    )
    rigs = tuple(
        _rig_from_now(problem, rig, rig_positions[rig.key]) if rig.key in rig_positions else rig for rig in problem.rigs
    )
    before = []
    for route in routes:
        trips = [tuple(key for key in trip if key not in gone) for trip in route.trips]
        begun = route.rig in rig_positions and rig_positions[route.rig].place is not None
        # Trips that are over fall away; the one under way stays first, even if only the road home is left of it.
        while len(trips) > 1 and not trips[0] and not (begun and _is_under_way(route, trips, done)):
            trips.pop(0)
        if any(trips):
            kept = tuple(trip for number, trip in enumerate(trips) if trip or (number == 0 and begun))
            before.append(Route(route.rig, kept))
    return RemainingDay(replace(problem, stops=stops, rigs=rigs), tuple(before))


def changed_rigs(before: Sequence[Route], after: Sequence[Route]) -> frozenset[str]:
    """The rigs whose stops, trips or order differ between two plans of the same stops."""
    old, new = (
        {route.rig: tuple(trip for trip in route.trips if trip) for route in routes if route.keys}
        for routes in (before, after)
    )
    return frozenset(rig for rig in old.keys() | new.keys() if old.get(rig) != new.get(rig))


def _is_under_way(route: Route, trips: Sequence[tuple[str, ...]], done: frozenset[str]) -> bool:
    """Whether the first remaining trip is the one that the rig is on: no stop of a later one is done."""
    later = route.trips[len(route.trips) - len(trips) + 1 :]
    return not any(key in done for trip in later for key in trip)


def _without_done_predecessor(stop: StopTask, gone: frozenset[str]) -> StopTask:
    return replace(stop, follows=None) if stop.follows in gone else stop


def _with_promise(stop: StopTask, promise: TimeWindow | None) -> StopTask:
    if promise is None:
        return stop
    windows = tuple(
        TimeWindow(max(window.opens, promise.opens), min(window.closes, promise.closes)) for window in stop.windows
    )
    return replace(stop, windows=tuple(window for window in windows if window.opens <= window.closes) or (promise,))


def _rig_from_now(problem: Problem, rig: RigDay, position: RigPosition) -> RigDay:
    opens = max(rig.shift.opens, position.free_at)
    if position.out:
        return replace(rig, shift=TimeWindow(opens, opens), aboard=position.aboard, barred=frozenset(problem.by_key))
    start, free = position.place, opens
    # A stop that is not planned here, such as another rig's, does not tell when this rig is free.
    underway = tuple(key for key in position.underway if key in problem.by_key)
    for key in underway:
        stop = problem.by_key[key]
        here = problem.shop if start is None else start
        arrives = free + problem.roads[rig.roads].seconds[here][stop.place]
        window = next((one for one in stop.windows if arrives <= one.closes), stop.windows[-1])
        free = max(arrives, window.opens) + stop.service
        start = stop.place
    # A shift that is over by then leaves no way home in time; the check says so instead of the search.
    shift = TimeWindow(free, max(free, rig.shift.closes))
    breaks = tuple(one for one in rig.breaks if one.closes >= free)
    off = {key for key in underway if problem.by_key[key].leaves_shop}
    on = tuple(key for key in underway if any(problem.by_key[key].takes))
    aboard = (*(key for key in position.aboard if key not in off), *on)
    known = [problem.by_key[key] for key in aboard if key in problem.by_key]
    for_shop = [stop for stop in known if any(stop.takes) or stop.key in position.undelivered]
    loads = [stop.brings if stop.key in position.undelivered else stop.takes for stop in for_shop]
    carries = tuple(
        sum((load[dimension] if dimension < len(load) else 0 for load in loads), 0)
        for dimension in range(len(rig.capacity))
    )
    on_deck = tuple((stop.key, stop.piece) for stop in for_shop if stop.piece is not None)
    return replace(rig, start=start, shift=shift, aboard=aboard, on_deck=on_deck, carries=carries, breaks=breaks)
