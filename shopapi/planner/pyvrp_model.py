"""Translates problems to PyVRP and its solutions back. The only file that uses PyVRP's terms.

Access is modelled by profiles: in a rig's road table, roads into stops that it cannot serve are far too long. (With a
load dimension instead, the same search ended 1 to 4 % dearer.) Several windows of one stop are several clients of
which one is served. A rig that starts on the road has one more stop of no size at the shop, so that it may go straight
home; its first trip takes nothing out of the shop, because machines there are released just after that trip begins.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import ceil, floor
from typing import Any

import numpy as np
from pyvrp import (
    Activity,
    ActivityType,
    Client,
    ClientGroup,
    Depot,
    Location,
    ProblemData,
    Solution,
    VehicleType,
)
from pyvrp import Route as EngineRoute

from shopapi.planner.problem import FOREVER, Load, Problem, RigDay, Route, StopTask, TimeWindow, can_serve

Matrix = np.ndarray[Any, Any]

# Loads that are no whole numbers are passed to the engine in thousandths.
PARTS = 1000
# Factor on the longest road for a forbidden one: worse than any plan, yet within the engine's integers.
FAR = 10


class PyvrpModel:
    """One problem as the engine's model.

    `forbidden`: pairs of stops of which the second may not come right after the first. `allow_missing`: required stops
    may be left out at a price far above any detour, so that an overfull day still has an answer.
    """

    def __init__(
        self, problem: Problem, *, forbidden: frozenset[tuple[str, str]] = frozenset(), allow_missing: bool = False
    ) -> None:
        self.problem = problem
        self.forbidden = forbidden
        self.allow_missing = allow_missing
        self.unit_parts = _unit_parts(problem)
        self.groups = _identical_rigs(problem)
        self.clients: list[int | None] = []
        self.windows: list[TimeWindow] = []
        self.data = self._data()
        # Metres between clients as they are, no road made too long.
        places = [client.location for client in self.data.clients()]
        self._apart = np.array(problem.roads[0].metres, dtype=np.int64)[np.ix_(places, places)]
        self._first = {at: number for number, at in reversed(list(enumerate(self.clients))) if at is not None}

    def _data(self) -> ProblemData:
        problem = self.problem
        served_from = max((rig.shift.opens for rig in problem.rigs if rig.start is not None), default=None)
        price = self._missing_price()
        clients: list[Client] = []
        alternatives: list[ClientGroup] = []
        for at, stop in enumerate(problem.stops):
            windows = _usable_windows(problem, stop)
            group = None
            optional = not stop.required or self.allow_missing
            prize = price if stop.required else stop.prize
            if len(windows) > 1:
                group = len(alternatives)
                numbers = list(range(len(clients), len(clients) + len(windows)))
                alternatives.append(ClientGroup(numbers, required=not optional))
            release = stop.release
            if served_from is not None and stop.leaves_shop and not _is_aboard(problem, stop):
                release = max(release, served_from + 1)
            for window in windows:
                self.clients.append(at)
                clients.append(
                    Client(
                        location=stop.place,
                        delivery=self._whole_load(stop.brings),
                        pickup=self._whole_load(stop.takes),
                        service_duration=stop.service,
                        tw_early=window.opens,
                        tw_late=window.closes,
                        release_time=release,
                        prize=prize if optional else 0,
                        required=not optional and group is None,
                        group=group,
                    )
                )
        depots = [_depot(problem)]
        types: list[VehicleType] = []
        metres: list[Matrix] = []
        seconds: list[Matrix] = []
        profiles: dict[tuple[int, frozenset[str]], int] = {}
        homes: list[int] = []
        for rigs in self.groups:
            rig = rigs[0]
            cannot = frozenset(stop.key for stop in problem.stops if not _may_serve(problem, rig, stop))
            if (rig.roads, cannot) not in profiles:
                profiles[rig.roads, cannot] = len(metres)
                far_metres, far_seconds = self._matrices(rig, cannot)
                metres.append(far_metres)
                seconds.append(far_seconds)
            start = 0
            if rig.start is not None:
                start = len(depots)
                depots.append(Depot(rig.start))
                homes.append(len(types))
            types.append(self._type(rigs, start, profiles[rig.roads, cannot]))
        for _ in homes:
            self.clients.append(None)
            nothing = self._whole_load(())
            clients.append(Client(problem.shop, nothing, nothing, required=True, tw_late=FOREVER))
        places = len(problem.roads[0].metres)
        return ProblemData([Location(0, 0)] * places, clients, depots, types, metres, seconds, alternatives)

    def _type(self, rigs: Sequence[RigDay], start: int, profile: int) -> VehicleType:
        rig, problem = rigs[0], self.problem
        rest = sum(each.seconds for each in rig.breaks)
        opens = rig.shift.opens if rig.start is not None else max(rig.shift.opens, problem.hours.opens)
        closes = max(opens, min(rig.shift.closes, problem.hours.closes) - rest)
        carries = self._whole_load(rig.carries)
        capacity = [ceil(most * unit_parts) for most, unit_parts in zip(rig.capacity, self.unit_parts, strict=True)]
        return VehicleType(
            num_available=len(rigs),
            # The engine refuses a rig that is overloaded already; the check then lets it do nothing but come home.
            capacity=[max(most, load) for most, load in zip(capacity, carries, strict=True)],
            start_depot=start,
            tw_early=opens,
            tw_late=closes,
            start_late=opens if rig.start is not None else closes,
            shift_duration=FOREVER if rig.longest is None else max(0, rig.longest - rest),
            unit_distance_cost=problem.costs.metre,
            unit_duration_cost=problem.costs.second,
            profile=profile,
            initial_load=carries,
            reload_depots=[0] if rig.reload else [],
        )

    def _matrices(self, rig: RigDay, cannot: frozenset[str]) -> tuple[Matrix, Matrix]:
        problem = self.problem
        metres = np.array(problem.roads[rig.roads].metres, dtype=np.int64)
        seconds = np.array(problem.roads[rig.roads].seconds, dtype=np.int64)
        np.fill_diagonal(metres, 0)
        np.fill_diagonal(seconds, 0)
        # Two stops at one place share a row, so a road is only closed where every stop of the place is.
        open_places = {stop.place for stop in problem.stops if stop.key not in cannot} | {problem.shop}
        shut = sorted({stop.place for stop in problem.stops if stop.key in cannot} - open_places)
        far = FAR * int(metres.max(initial=1)) * max(1, len(problem.stops))
        metres[:, shut] = far
        metres[shut, shut] = 0
        for before, after in self.forbidden:
            here, there = problem.by_key[before].place, problem.by_key[after].place
            if here != there:
                metres[here, there] = far
        return metres, seconds

    def _whole_load(self, load: Load) -> list[int]:
        amounts = [*load, *([0] * (len(self.unit_parts) - len(load)))]
        return [floor(amount * each) for amount, each in zip(amounts, self.unit_parts, strict=True)]

    def _missing_price(self) -> int:
        longest = max(
            int(np.max(roads.metres)) * self.problem.costs.metre
            + int(np.max(roads.seconds)) * self.problem.costs.second
            for roads in self.problem.roads
        )
        dearest = max((stop.prize for stop in self.problem.stops), default=0)
        return 10 * max(longest, dearest) + 1

    def routes(self, solution: Solution) -> tuple[Route, ...]:
        """The engine's answer in our words. Rigs that are alike are handed out in their order."""
        used = [0] * len(self.groups)
        found = []
        for route in solution.routes():
            kind = route.vehicle_type()
            rig = self.groups[kind][used[kind]]
            used[kind] += 1
            trips: list[list[str]] = [[]]
            for activity in list(route)[1:-1]:
                if activity.is_depot():
                    trips.append([])
                elif (at := self.clients[activity.idx]) is not None:
                    trips[-1].append(self.problem.stops[at].key)
            # Only a rig on the road may have an empty trip: the way home.
            kept = [trip for number, trip in enumerate(trips) if trip or (number == 0 and rig.start is not None)]
            if any(kept):
                found.append(Route(rig.key, tuple(tuple(trip) for trip in kept)))
        return tuple(found)

    def solution(self, routes: Iterable[Route]) -> Solution:
        """A start solution for the engine; each stop in its first window."""
        kinds = {rig.key: kind for kind, rigs in enumerate(self.groups) for rig in rigs}
        numbers = {stop.key: self._first[at] for at, stop in enumerate(self.problem.stops)}
        built = []
        homes = iter([number for number, at in enumerate(self.clients) if at is None])
        todo = [rig.key for rigs in self.groups for rig in rigs if rig.start is not None]
        by_rig = {route.rig: route.trips for route in routes if route.keys}
        for key in todo:
            by_rig.setdefault(key, ((),))
        for key, trips in by_rig.items():
            activities: list[Activity] = []
            for number, trip in enumerate(trips):
                if number > 0:
                    activities.append(Activity(ActivityType.DEPOT, 0))
                activities += [Activity(ActivityType.CLIENT, numbers[stop]) for stop in trip]
                if number == 0 and key in todo:
                    activities.append(Activity(ActivityType.CLIENT, next(homes)))
            built.append(EngineRoute(self.data, activities, kinds[key]))
        return Solution(self.data, built)

    def remove_patch(self, solution: Solution, middle: int, size: int) -> Solution:
        """The solution without the `size` clients that are nearest to client number `middle`, itself included."""
        near = [int(at) for at in np.argsort(self._apart[middle], kind="stable")[:size]]
        # A rig's own stop at the shop stays where it is.
        gone = {at for at in near if self.clients[at] is not None}
        built = []
        for route in solution.routes():
            trips: list[list[Activity]] = [[]]
            for activity in list(route)[1:-1]:
                if activity.is_depot():
                    trips.append([activity])
                elif activity.idx not in gone:
                    trips[-1].append(activity)
            # An emptied trip is dropped, with the reload before it.
            kept = [trip for trip in trips if any(activity.is_client() for activity in trip)]
            activities = [activity for trip in kept for activity in trip]
            if activities:
                start = 1 if activities[0].is_depot() else 0
                built.append(EngineRoute(self.data, activities[start:], route.vehicle_type()))
        return Solution(self.data, built)


def _identical_rigs(problem: Problem) -> list[list[RigDay]]:
    """Groups of rigs that differ only by their key."""
    groups: dict[object, list[RigDay]] = {}
    for rig in problem.rigs:
        cannot = frozenset(stop.key for stop in problem.stops if not can_serve(rig, stop))
        # A rig on the road is alone in its place; each keeps its own stop at the shop.
        own = rig.key if rig.start is not None else ""
        groups.setdefault((replace(rig, key=own), cannot), []).append(rig)
    return list(groups.values())


def _may_serve(problem: Problem, rig: RigDay, stop: StopTask) -> bool:
    if _is_aboard(problem, stop):
        return stop.key in rig.aboard
    return can_serve(rig, stop)


def _is_aboard(problem: Problem, stop: StopTask) -> bool:
    return stop.key in problem.rig_under


def _usable_windows(problem: Problem, stop: StopTask) -> list[TimeWindow]:
    """The stop's windows as the engine may use them: in daylight where it must be."""
    windows = list(stop.windows)
    if stop.by_daylight and problem.daylight is not None:
        light = problem.daylight
        windows = [
            TimeWindow(max(each.opens, light.opens), min(each.closes, light.closes - stop.service)) for each in windows
        ]
    usable = [window for window in windows if window.opens <= window.closes]
    return usable or [TimeWindow(windows[0].opens, windows[0].opens)]


def _unit_parts(problem: Problem) -> list[int]:
    """The scale of each load dimension: the engine counts in whole numbers.

    Rounded so that the engine refuses no load that the exact check accepts.
    """
    loads = [*(rig.capacity for rig in problem.rigs), *(rig.carries for rig in problem.rigs)]
    loads += [load for stop in problem.stops for load in (stop.brings, stop.takes)]
    return [
        1 if all(isinstance(load[at], int) for load in loads if at < len(load)) else PARTS
        for at in range(len(problem.rigs[0].capacity))
    ]


def _depot(problem: Problem) -> Depot:
    return Depot(problem.shop, problem.hours.opens, problem.hours.closes, service_duration=problem.loading)


def scale_of(problem: Problem) -> tuple[list[float], float]:
    """The first penalties of one unit of overload per dimension, and of one second late, in metres.

    An overload of one ordinary machine costs as much as an ordinary drive.
    """
    drive = max(1.0, float(np.mean(problem.roads[0].metres)) * problem.costs.metre)
    loads = []
    for dimension, unit_parts in enumerate(_unit_parts(problem)):
        amounts = [
            load[dimension] * unit_parts
            for stop in problem.stops
            for load in (stop.brings, stop.takes)
            if dimension < len(load) and load[dimension] > 0
        ]
        loads.append(drive / float(sum(amounts) / len(amounts)) if amounts else drive)
    slow = max(1.0, float(np.mean(problem.roads[0].seconds)))
    return loads, drive / slow + problem.costs.second
