"""The check of a plan, independent of the search. No plan is shown or stored without it.

A route is simulated: loads, deck and tongue on each leg, access, windows, daylight, breaks, shift. The first rule that
fails is returned with its stop and its figures. The same simulation gives the timetable that people read.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import combinations_with_replacement

from shopapi.planner.legs import tie_downs, trips_of
from shopapi.planner.loading.deck import DeckMove, Exact
from shopapi.planner.loading.stowage import Stowage, StowageFailure, stow
from shopapi.planner.problem import Break, Facts, Problem, RigDay, Route, StopTask


@dataclass(frozen=True)
class Violation:
    """The first rule that a route breaks: its code, the stop, the figures."""

    code: str
    rig: str
    stop: str | None
    facts: Facts


@dataclass(frozen=True)
class ScheduledVisit:
    """One stop in the timetable, seconds. Between `arrives` and `starts` the driver waits or rests."""

    stop: str
    arrives: int
    starts: int
    leaves: int


@dataclass(frozen=True)
class Schedule:
    """A feasible route: departure (as late as possible), each stop, return, breaks as (start, end)."""

    route: Route
    leaves: int
    visits: tuple[ScheduledVisit, ...]
    home: int
    breaks: tuple[tuple[int, int], ...]
    metres: int
    cost: int
    stowages: tuple[Stowage, ...] = ()
    # Where each break of the rig is taken: before the drive to a stop, or before its work, counted over the run.
    break_positions: tuple[int, ...] = ()

    def trips(self, rig: RigDay) -> list[tuple[str, ...]]:
        """The trips that count, the first one of a rig on the road also where it is only the way home."""
        return trips_of(rig, self.route)


@dataclass(frozen=True)
class CheckResult:
    """The result for a whole plan. `cost` includes the prizes of optional stops that are left out."""

    cost: int
    violations: tuple[Violation, ...]
    left_out: tuple[str, ...]
    schedules: tuple[Schedule, ...]

    @property
    def feasible(self) -> bool:
        return not self.violations


def check_plan(problem: Problem, routes: Sequence[Route]) -> CheckResult:
    """Check every route, and the plan: each required stop once, each rig once."""
    violations: list[Violation] = []
    schedules: list[Schedule] = []
    seen: dict[str, str] = {}
    rigs: set[str] = set()
    cost = 0
    for route in routes:
        if not route.keys:
            continue
        if route.rig in rigs:
            violations.append(Violation("rig_twice", route.rig, None, {}))
        rigs.add(route.rig)
        for key in route.keys:
            if key in seen:
                violations.append(Violation("stop_twice", route.rig, key, {"other": seen[key]}))
            seen[key] = route.rig
        checked = check_route(problem, route)
        if isinstance(checked, Violation):
            violations.append(checked)
            if checked.code not in ("rig_unknown", "stop_unknown"):
                cost += metres_of(problem, route) * problem.costs.metre
        else:
            schedules.append(checked)
            cost += checked.cost
    left = tuple(stop.key for stop in problem.stops if stop.key not in seen)
    for key in left:
        stop = problem.by_key[key]
        cost += 0 if stop.required else stop.prize
        if stop.required:
            violations.append(Violation("left_out", "", key, {}))
    return CheckResult(cost, tuple(violations), left, tuple(schedules))


def check_route(problem: Problem, route: Route) -> Schedule | Violation:
    """Check one route by itself."""
    rig = problem.rig_by_key.get(route.rig)
    if rig is None:
        return Violation("rig_unknown", route.rig, None, {})
    if unknown := next((key for key in route.keys if key not in problem.by_key), None):
        return Violation("stop_unknown", rig.key, unknown, {})
    stowage: list[Stowage] = []
    wrong = (
        _check_access_and_loads(problem, rig, route)
        or _place_loads(problem, rig, route, stowage)
        or _check_tie_downs(problem, rig, route)
    )
    if wrong is not None:
        return wrong
    return _schedule(problem, rig, route, tuple(stowage))


def metres_of(problem: Problem, route: Route) -> int:
    """Metres from the start to the shop, over every trip."""
    rig = problem.rig_by_key[route.rig]
    metres = problem.roads[rig.roads].metres
    total, here = 0, problem.shop if rig.start is None else rig.start
    for trip in route.trips:
        for key in trip:
            total += metres[here][problem.by_key[key].place]
            here = problem.by_key[key].place
        total += metres[here][problem.shop]
        here = problem.shop
    return total


# Access and loads.


def _check_access_and_loads(problem: Problem, rig: RigDay, route: Route) -> Violation | None:
    trips = trips_of(rig, route)
    if len(trips) > 1 and not rig.reload:
        return Violation("one_trip_only", rig.key, trips[1][0], {})
    before: set[str] = set()
    for number, trip in enumerate(trips):
        for key in trip:
            stop = problem.by_key[key]
            if wrong := _check_access(problem, rig, stop, first=number == 0, before=before):
                return wrong
            before.add(key)
        if wrong := _check_loads(problem, rig, trip, first=number == 0):
            return wrong
    return None


def _check_access(problem: Problem, rig: RigDay, stop: StopTask, *, first: bool, before: set[str]) -> Violation | None:
    if missing := sorted(stop.needs - rig.has):
        return Violation("access", rig.key, stop.key, {"needs": missing[0]})
    if stop.only_rigs is not None and rig.key not in stop.only_rigs:
        return Violation("pinned", rig.key, stop.key, {"to": ", ".join(sorted(stop.only_rigs))})
    if stop.key in rig.barred:
        return Violation("barred", rig.key, stop.key, {})
    if stop.follows is not None and stop.follows not in before:
        return Violation("order", rig.key, stop.key, {"after": stop.follows})
    under = problem.rig_under.get(stop.key)
    aboard = under == rig.key
    if first and rig.start is not None and stop.leaves_shop and not aboard:
        return Violation("not_aboard", rig.key, stop.key, {})
    if aboard and not first:
        return Violation("aboard_first", rig.key, stop.key, {})
    if under is not None and not aboard:
        return Violation("on_another_rig", rig.key, stop.key, {})
    return None


def _check_loads(problem: Problem, rig: RigDay, trip: Sequence[str], *, first: bool) -> Violation | None:
    stops = [problem.by_key[key] for key in trip]
    for dimension, most in enumerate(rig.capacity):
        load: Exact = sum(_at(stop.brings, dimension) for stop in stops)
        load += _at(rig.carries, dimension) if first else 0
        # An overloaded rig on the road may still come home.
        if load > most and stops:
            # The stop at fault is the heaviest of those that were loaded together.
            worst = max(stops, key=lambda stop: _at(stop.brings, dimension))
            return Violation("load", rig.key, worst.key, {"dimension": dimension, "load": load, "most": most})
        for stop in stops:
            load += _at(stop.takes, dimension) - _at(stop.brings, dimension)
            if load > most:
                return Violation("load", rig.key, stop.key, {"dimension": dimension, "load": load, "most": most})
    return None


def _at(load: Sequence[Exact], dimension: int) -> Exact:
    return load[dimension] if dimension < len(load) else 0


# Order on the deck.


def _place_loads(problem: Problem, rig: RigDay, route: Route, stowage: list[Stowage]) -> Violation | None:
    """Order on the deck, tongue and ratings, trip by trip; fills `stowage`."""
    if rig.deck is None:
        return None
    for number, trip in enumerate(trips_of(rig, route)):
        stops = [problem.by_key[key] for key in trip if problem.by_key[key].piece is not None]
        moves = tuple(DeckMove(stop.key, on=not stop.leaves_shop) for stop in stops)
        pieces = tuple((stop.key, stop.piece) for stop in stops)
        fixed = number == 0 and rig.start is not None
        at_start = tuple(stop.key for stop in stops if stop.leaves_shop)
        if fixed:
            # Machines that this trip does not drop take room too.
            known = dict(rig.on_deck) | {key: problem.by_key[key].piece for key in rig.aboard if key in problem.by_key}
            at_start = tuple(key for key in rig.aboard if known.get(key) is not None)
            pieces = tuple((dict(pieces) | {key: known[key] for key in at_start}).items())
        found = _cached_stow(rig, pieces, at_start, moves, fixed=fixed)
        if isinstance(found, StowageFailure):
            at = str(found.facts["stop"]) if "stop" in found.facts else (stops[-1].key if stops else None)
            return Violation(found.code, rig.key, at, found.facts)
        stowage.append(found)
    return None


def _check_tie_downs(problem: Problem, rig: RigDay, route: Route) -> Violation | None:
    if rig.straps is None:
        return None
    for leg in tie_downs(problem, rig, route):
        if leg.needed > rig.straps:
            return Violation("straps", rig.key, leg.last, {"needed": leg.needed, "there": rig.straps})
    return None


@lru_cache(maxsize=4096)
def _cached_stow(
    rig: RigDay,
    pieces: tuple[tuple[str, object], ...],
    at_start: tuple[str, ...],
    moves: tuple[DeckMove, ...],
    *,
    fixed: bool,
) -> Stowage | StowageFailure:
    # Cached: the same trip is checked again for each insertion tried in its neighbours.
    assert rig.deck is not None  # noqa: S101 - for the type checker; the caller looked
    return stow(rig.deck, rig.trailer, dict(pieces), at_start, moves, fixed=fixed)  # type: ignore[arg-type] # `pieces` came in as pairs to be hashable


# Times.


@dataclass
class _Walk:
    """State of the simulation with one choice of breaks: the time, the visits so far."""

    now: int
    visits: list[ScheduledVisit]
    break_positions: list[tuple[int, int]]
    wrong: Violation | None = None


def _schedule(problem: Problem, rig: RigDay, route: Route, stowage: tuple[Stowage, ...]) -> Schedule | Violation:
    opens, closes = rig.shift.opens, rig.shift.closes
    if rig.start is None:
        opens = max(opens, problem.hours.opens)
    closes = min(closes, problem.hours.closes)
    chosen: tuple[_Walk, tuple[int, ...]] | None = None
    wrong: Violation | None = None
    for break_positions in _break_positions(rig.breaks, 2 * len(route.keys)):
        walk = _walk(problem, rig, route, opens, break_positions)
        if walk.wrong is None and (chosen is None or walk.now < chosen[0].now):
            chosen = (walk, break_positions)
        # If no choice works, report the failure of the one that came furthest.
        if walk.wrong is not None and (wrong is None or wrong.code == "break"):
            wrong = walk.wrong
    if chosen is None:
        return wrong or Violation("break", rig.key, None, {"now": 0, "closes": 0})
    walk, break_positions = chosen
    home = walk.now
    if home > closes:
        last = route.keys[-1]
        return Violation("shift", rig.key, last, {"home": home, "closes": closes, "late": home - closes})
    leaves = _latest_start(problem, rig, route, break_positions, between=(opens, home))
    if rig.longest is not None and home - leaves > rig.longest:
        return Violation("longest", rig.key, route.keys[-1], {"takes": home - leaves, "longest": rig.longest})
    walk = _walk(problem, rig, route, leaves, break_positions)
    metres = metres_of(problem, route)
    cost = metres * problem.costs.metre + (home - leaves) * problem.costs.second
    return Schedule(
        route, leaves, tuple(walk.visits), home, tuple(walk.break_positions), metres, cost, stowage, break_positions
    )


def started_at(problem: Problem, schedule: Schedule, leaves: int) -> Schedule:
    """The same route with its breaks and an earlier start; waits for openings grow.

    Unchanged where that is not feasible.
    """
    rig = problem.rig_by_key[schedule.route.rig]
    walk = _walk(problem, rig, schedule.route, leaves, schedule.break_positions)
    if walk.wrong is not None:
        return schedule
    cost = schedule.metres * problem.costs.metre + (walk.now - leaves) * problem.costs.second
    return replace(
        schedule, leaves=leaves, visits=tuple(walk.visits), home=walk.now, breaks=tuple(walk.break_positions), cost=cost
    )


def _break_positions(breaks: Sequence[Break], places: int) -> Iterator[tuple[int, ...]]:
    """Every choice of where the breaks are taken: before driving to, or before working at, some stop, or at home."""
    yield from combinations_with_replacement(range(places + 1), len(breaks))


def _walk(problem: Problem, rig: RigDay, route: Route, start: int, break_positions: Sequence[int]) -> _Walk:
    seconds = problem.roads[rig.roads].seconds
    walk = _Walk(start, [], [])
    here = problem.shop if rig.start is None else rig.start
    turn = 0
    for number, trip in enumerate(trips_of(rig, route)):
        if number > 0 or rig.start is None:
            released = max((problem.by_key[key].release for key in trip), default=0)
            walk.now = max(walk.now, released, problem.hours.opens) + problem.loading
        for key in trip:
            stop = problem.by_key[key]
            _take_break(walk, rig, break_positions, turn, key)
            walk.now += seconds[here][stop.place]
            arrived = walk.now
            _take_break(walk, rig, break_positions, turn + 1, key)
            turn += 2
            if walk.wrong is not None:
                return walk
            if wrong := _do_work(problem, rig, stop, arrived, walk):
                home = walk.now + stop.service + seconds[stop.place][problem.shop]
                walk.wrong = _shift_violation(problem, rig, stop, home) or wrong
                return walk
            here = stop.place
        walk.now += seconds[here][problem.shop]
        here = problem.shop
    for rest, at in zip(rig.breaks, break_positions, strict=True):
        # A break that may still begin when the rig is home is not planned on the road.
        if at == turn and walk.now > rest.closes:
            walk.wrong = Violation("break", rig.key, route.keys[-1], {"closes": rest.closes, "now": walk.now})
    return walk


def _take_break(walk: _Walk, rig: RigDay, break_positions: Sequence[int], turn: int, key: str) -> None:
    for rest, at in zip(rig.breaks, break_positions, strict=True):
        if at != turn:
            continue
        begins = max(walk.now, rest.opens)
        if begins > rest.closes and walk.wrong is None:
            walk.wrong = Violation("break", rig.key, key, {"closes": rest.closes, "now": begins})
        walk.break_positions.append((begins, begins + rest.seconds))
        walk.now = begins + rest.seconds


def _do_work(problem: Problem, rig: RigDay, stop: StopTask, arrived: int, walk: _Walk) -> Violation | None:
    window = min(
        (window for window in stop.windows if walk.now <= window.closes),
        key=lambda window: max(walk.now, window.opens),
        default=None,
    )
    if window is None:
        closes = max(window.closes for window in stop.windows)
        return Violation(
            "window", rig.key, stop.key, {"arrives": walk.now, "closes": closes, "late": walk.now - closes}
        )
    starts = max(walk.now, window.opens)
    if stop.by_daylight and problem.daylight is not None:
        starts = max(starts, problem.daylight.opens)
        if starts > window.closes or starts + stop.service > problem.daylight.closes:
            dark = problem.daylight.closes
            return Violation("daylight", rig.key, stop.key, {"ends": starts + stop.service, "dark": dark})
    walk.now = starts + stop.service
    walk.visits.append(ScheduledVisit(stop.key, arrived, starts, walk.now))
    return None


def _shift_violation(problem: Problem, rig: RigDay, stop: StopTask, home: int) -> Violation | None:
    """The violation for a stop whose window lasts as long as the shift: the shift is too short, not the window."""
    closes = min(rig.shift.closes, problem.hours.closes)
    if max(window.closes for window in stop.windows) < closes or home <= closes:
        return None
    return Violation("shift", rig.key, stop.key, {"home": home, "closes": closes, "late": home - closes})


def _latest_start(
    problem: Problem, rig: RigDay, route: Route, break_positions: Sequence[int], *, between: tuple[int, int]
) -> int:
    """The latest start with the earliest return, by bisection: the return never gets earlier with a later start."""
    (low, high), home = between, between[1]
    while low < high:
        middle = (low + high + 1) // 2
        walk = _walk(problem, rig, route, middle, break_positions)
        if walk.wrong is None and walk.now <= home:
            low = middle
        else:
            high = middle - 1
    return low
