"""The proven best plan of a small day, by dynamic programming over sets of stops.

Labels are extended rig by rig and trip by trip, keeping only those that no other dominates. Rules that it does not
know (deck, breaks, order pins) only restrict further: if its answer passes the check at the same cost, it is optimal
and reported as such. Returns None when there are too many states.
"""

from collections.abc import Callable
from dataclasses import replace
from math import lcm
from typing import NamedTuple

from shopapi.planner.problem import Load, Problem, RigDay, Route, StopTask, can_serve

MAX_STOPS = 9
MAX_STATES = 400_000


class _Label(NamedTuple):
    """A way to have served a set: what it cost, when it is over, how long it took, how late it may have begun."""

    cost: int
    end: int
    took: int
    latest: int
    trips: tuple[tuple[int, ...], ...] = ()


class _StateLimit(Exception):
    """More states than a small day has."""


def solve_exact(problem: Problem, expired: Callable[[], bool] = lambda: False) -> tuple[Route, ...] | None:
    """The routes of a proven best plan; None when the day is not small or nothing serves every required stop.

    It gives up once it is `expired`.
    """
    if len(problem.stops) > MAX_STOPS or any(rig.start is not None for rig in problem.rigs):
        return None
    try:
        return _ExactSearch(problem, expired).solve()
    except _StateLimit:
        return None


class _ExactSearch:
    def __init__(self, problem: Problem, expired: Callable[[], bool]) -> None:
        self.problem = problem
        self.expired = expired
        self.stops = problem.stops
        self.released = [stop.release for stop in problem.stops]
        self.left = MAX_STATES
        self.windows = [self._start_windows(stop) for stop in problem.stops]
        self.loads: dict[tuple[Load, int], dict[int, bool]] = {}
        # Sums of whole numbers are quick: each dimension in parts so small that nothing is lost.
        self.denominators = _denominators(problem)
        self.amounts = [
            tuple([int(each * parts) for each, parts in zip(load, self.denominators, strict=False)] for load in loads)
            for loads in ((stop.brings, stop.takes) for stop in problem.stops)
        ]
        # Of the rig at hand: the ways to make a trip from a moment on.
        self.trips: dict[tuple[int, int], list[_Label]] = {}
        # What waiting costs, or a longest run, makes the moment of starting matter.
        self.durations = problem.costs.second > 0 or any(rig.longest is not None for rig in problem.rigs)

    def solve(self) -> tuple[Route, ...] | None:
        required = sum(1 << at for at, stop in enumerate(self.stops) if stop.required)
        # best[set] = (cost, routes) of the rigs so far.
        best: dict[int, tuple[int, tuple[Route, ...]]] = {0: (0, ())}
        done: dict[RigDay, dict[int, _Label]] = {}
        for rig in self.problem.rigs:
            alike = replace(rig, key="")
            servable = sum(1 << at for at, stop in enumerate(self.stops) if can_serve(rig, stop))
            alone = done.get(alike)
            if alone is None or any(stop.only_rigs is not None for stop in self.stops):
                alone = done[alike] = self._one_rig(rig, servable)
            merged = dict(best)
            for served, (cost, routes) in best.items():
                for subset, label in alone.items():
                    if served & subset:
                        continue
                    total = cost + label.cost
                    if served | subset not in merged or total < merged[served | subset][0]:
                        keys = tuple(tuple(self.stops[at].key for at in trip) for trip in label.trips)
                        merged[served | subset] = (total, (*routes, Route(rig.key, keys)))
            best = merged
        finished = [
            (cost + self._forgone(served), routes)
            for served, (cost, routes) in best.items()
            if served & required == required
        ]
        return min(finished, key=lambda found: found[0])[1] if finished else None

    def _forgone(self, served: int) -> int:
        return sum(stop.prize for at, stop in enumerate(self.stops) if not served >> at & 1)

    def _one_rig(self, rig: RigDay, servable: int) -> dict[int, _Label]:
        """For each set of stops, the cheapest day of this rig alone that serves exactly that set."""
        problem = self.problem
        opens = max(rig.shift.opens, problem.hours.opens)
        closes = min(rig.shift.closes, problem.hours.closes)
        self.trips = {}
        trips = [subset for subset in _subsets(servable) if subset and self._fits(rig, subset)(subset)]
        # Trips are chained in order of time, so a set is complete before a larger one begins.
        fronts: dict[int, list[_Label]] = {0: [_Label(0, opens, 0, closes)]}
        finished: dict[int, _Label] = {}
        for done in sorted(_subsets(servable), key=int.bit_count):
            for label in fronts.get(done, ()):
                for trip in trips:
                    if trip & done or (done and not rig.reload):
                        continue
                    for after in self._trip(rig, trip, label, closes):
                        self._insert_label(fronts.setdefault(done | trip, []), after)
            for label in fronts.get(done, ()):
                if done and (rig.longest is None or label.took <= rig.longest):
                    cost = label.cost + label.took * problem.costs.second
                    if done not in finished or cost < finished[done].cost:
                        finished[done] = _Label(cost, label.end, label.took, label.latest, label.trips)
        return finished

    def _fits(self, rig: RigDay, trip: int) -> Callable[[int], bool]:
        """Tells whether the load fits when, of the trip's set, the stops `aboard` are still to be made."""
        loads = self.loads.setdefault((rig.capacity, trip), {})

        def fits(aboard: int) -> bool:
            known = loads.get(aboard)
            if known is None:
                known = loads[aboard] = all(
                    self._load(trip, aboard, dimension) <= most * self.denominators[dimension]
                    for dimension, most in enumerate(rig.capacity)
                )
            return known

        return fits

    def _load(self, trip: int, aboard: int, dimension: int) -> int:
        load = 0
        for at, (brings, takes) in enumerate(self.amounts):
            if trip >> at & 1:
                amounts = brings if aboard >> at & 1 else takes
                load += amounts[dimension] if dimension < len(amounts) else 0
        return load

    def _trip(self, rig: RigDay, trip: int, label: _Label, closes: int) -> list[_Label]:
        """Every way to make this set as the next trip after `label`, home again, beaten ones left out."""
        if self.expired():
            raise _StateLimit
        released = max(self.released[at] for at in range(len(self.stops)) if trip >> at & 1)
        gone = self._wait_until(label, max(released, self.problem.hours.opens), self.problem.loading)
        if self.durations:
            return [_Label(*home[:4], (*label.trips, home.trips[0])) for home in self._orders(rig, trip, gone, closes)]
        # Only the clock at the start matters: the same trip at the same time is worked out once.
        known = self.trips.get((trip, gone.end))
        if known is None:
            fresh = _Label(0, gone.end, 0, gone.end)
            known = self.trips[trip, gone.end] = self._orders(rig, trip, fresh, closes)
        return [_Label(label.cost + home.cost, home.end, 0, 0, (*label.trips, home.trips[0])) for home in known]

    def _orders(self, rig: RigDay, trip: int, gone: _Label, closes: int) -> list[_Label]:
        """Every order of one trip that nothing beats; `trips` of the answer holds that one trip."""
        problem, fits = self.problem, self._fits(rig, trip)
        roads = problem.roads[rig.roads]
        members = [at for at in range(len(self.stops)) if trip >> at & 1]
        # (made, last) -> ways
        layer: dict[tuple[int, int], list[_Label]] = {
            (0, -1): [_Label(gone.cost, gone.end, gone.took, gone.latest, ((),))]
        }
        for _ in members:
            after: dict[tuple[int, int], list[_Label]] = {}
            for (made, last), labels in layer.items():
                here = problem.shop if last < 0 else self.stops[last].place
                for at in members:
                    bit = 1 << at
                    if made & bit or not fits(trip & ~(made | bit)):
                        continue
                    stop = self.stops[at]
                    cost = roads.metres[here][stop.place] * problem.costs.metre
                    seconds = roads.seconds[here][stop.place]
                    front = after.setdefault((made | bit, at), [])
                    for one in labels:
                        for there in self._extend(at, one, cost, seconds):
                            self._add_label(front, there, (*one.trips[0], at))
            layer = after
        home: list[_Label] = []
        for (_, last), labels in layer.items():
            place = self.stops[last].place
            cost = roads.metres[place][problem.shop] * problem.costs.metre
            seconds = roads.seconds[place][problem.shop]
            for one in labels:
                if one.end + seconds <= closes:
                    back = (one.cost + cost, one.end + seconds, one.took + seconds, one.latest)
                    self._add_label(home, back, one.trips[0])
        return home

    def _start_windows(self, stop: StopTask) -> list[tuple[int, int]]:
        """When its work may start, as (from, to)."""
        light = self.problem.daylight if stop.by_daylight else None
        if light is None:
            return [(window.opens, window.closes) for window in stop.windows]
        return [
            (max(window.opens, light.opens), min(window.closes, light.closes - stop.service)) for window in stop.windows
        ]

    def _extend(self, at: int, label: _Label, cost: int, drive: int) -> list[tuple[int, int, int, int]]:
        there = []
        arrives, service = label.end + drive, self.stops[at].service
        for opens, closes in self.windows[at]:
            if arrives > closes:
                continue
            latest = min(label.latest, closes - label.took - drive)
            took = max(label.took + drive, opens - latest) + service
            there.append((label.cost + cost, max(arrives, opens) + service, took, latest))
        return there

    def _wait_until(self, label: _Label, until: int, work: int) -> _Label:
        """Not before `until`, then `work` seconds. A later start waits less, as far as `latest` lets it."""
        took = max(label.took, until - label.latest)
        return _Label(label.cost, max(label.end, until) + work, took + work, label.latest, label.trips)

    def _add_label(self, front: list[_Label], label: tuple[int, int, int, int], order: tuple[int, ...]) -> None:
        """Put one more way into a front, unless another beats it; take out those that it beats."""
        self._insert_label(front, _Label(*label, (order,)))

    def _insert_label(self, front: list[_Label], label: _Label) -> None:
        self.left -= 1
        if self.left < 0:
            raise _StateLimit
        for other in front:
            if self._dominates(other, label):
                return
        front[:] = [other for other in front if not self._dominates(label, other)]
        front.append(label)

    def _dominates(self, one: _Label, other: _Label) -> bool:
        if one.cost > other.cost or one.end > other.end:
            return False
        return not self.durations or (one.took <= other.took and one.latest >= other.latest)


def _denominators(problem: Problem) -> list[int]:
    """Into how many parts a unit of each dimension is cut so that every load and capacity is a whole number."""
    loads = [*(rig.capacity for rig in problem.rigs)]
    loads += [load for stop in problem.stops for load in (stop.brings, stop.takes)]
    return [
        lcm(*(load[at].denominator for load in loads if at < len(load))) for at in range(len(problem.rigs[0].capacity))
    ]


def _subsets(mask: int) -> list[int]:
    found, subset = [], mask
    while True:
        found.append(subset)
        if not subset:
            return found[::-1]
        subset = (subset - 1) & mask
