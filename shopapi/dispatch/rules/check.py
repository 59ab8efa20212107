"""The independent check of a plan: it knows nothing of the search, and no plan is shown or kept without it.

A route is walked second by second: loads, deck and tongue on each leg, access, windows, daylight, breaks, shift. The
first rule that fails is named with its stop and its figures. The same walk gives the timetable that people read.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations_with_replacement

from shopapi.dispatch.rules.deck import Move
from shopapi.dispatch.rules.load import Stowed, Unstowed, stow
from shopapi.dispatch.rules.problem import Break, Problem, Rig, Route, StopTask
from shopapi.dispatch.rules.tiedowns import count_of_machine

Facts = Mapping[str, int | str]


@dataclass(frozen=True)
class Broken:
    """The first rule that a route does not keep: its code, the stop where it shows, the figures."""

    code: str
    rig: str
    stop: str | None
    facts: Facts


@dataclass(frozen=True)
class Visit:
    """One stop in the timetable, seconds. Between `arrives` and `starts` the driver waits or rests."""

    stop: str
    arrives: int
    starts: int
    leaves: int


@dataclass(frozen=True)
class Timed:
    """A route that holds: when it leaves (as late as it can), each stop, when it is home, breaks as (start, end)."""

    route: Route
    leaves: int
    visits: tuple[Visit, ...]
    home: int
    breaks: tuple[tuple[int, int], ...]
    metres: int
    cost: int
    stowed: tuple[Stowed, ...] = ()


@dataclass(frozen=True)
class Verdict:
    """What the check says of a whole plan. `cost` counts all, the prizes of optional stops left out too."""

    cost: int
    broken: tuple[Broken, ...]
    left_out: tuple[str, ...]
    timed: tuple[Timed, ...]

    @property
    def holds(self) -> bool:
        return not self.broken


def check_plan(problem: Problem, routes: Sequence[Route]) -> Verdict:
    """Every rule of every route, and of all of them together: each required stop once, each rig once."""
    broken: list[Broken] = []
    timed: list[Timed] = []
    seen: dict[str, str] = {}
    rigs: set[str] = set()
    cost = 0
    for route in routes:
        if not route.keys:
            continue
        if route.rig in rigs:
            broken.append(Broken("rig_twice", route.rig, None, {}))
        rigs.add(route.rig)
        for key in route.keys:
            if key in seen:
                broken.append(Broken("stop_twice", route.rig, key, {"other": seen[key]}))
            seen[key] = route.rig
        checked = check_route(problem, route)
        if isinstance(checked, Broken):
            broken.append(checked)
            if checked.code not in ("rig_unknown", "stop_unknown"):
                cost += metres_of(problem, route) * problem.costs.metre
        else:
            timed.append(checked)
            cost += checked.cost
    left = tuple(stop.key for stop in problem.stops if stop.key not in seen)
    for key in left:
        stop = problem.by_key[key]
        cost += 0 if stop.required else stop.prize
        if stop.required:
            broken.append(Broken("left_out", "", key, {}))
    return Verdict(cost, tuple(broken), left, tuple(timed))


def check_route(problem: Problem, route: Route) -> Timed | Broken:
    """One route against every rule that concerns it alone."""
    rig = problem.rig_by_key.get(route.rig)
    if rig is None:
        return Broken("rig_unknown", route.rig, None, {})
    if unknown := next((key for key in route.keys if key not in problem.by_key), None):
        return Broken("stop_unknown", rig.key, unknown, {})
    stowed: list[Stowed] = []
    wrong = _fit(problem, rig, route) or _stand(problem, rig, route, stowed)
    if wrong is not None:
        return wrong
    return _time(problem, rig, route, tuple(stowed))


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


# Who may go where, with what on board.


def _fit(problem: Problem, rig: Rig, route: Route) -> Broken | None:
    trips = _trips(rig, route)
    if len(trips) > 1 and not rig.reload:
        return Broken("one_trip_only", rig.key, trips[1][0], {})
    before: set[str] = set()
    for number, trip in enumerate(trips):
        for key in trip:
            stop = problem.by_key[key]
            if wrong := _access(problem, rig, stop, first=number == 0, before=before):
                return wrong
            before.add(key)
        if wrong := _loads(problem, rig, trip, first=number == 0):
            return wrong
    return None


def _trips(rig: Rig, route: Route) -> list[tuple[str, ...]]:
    """The trips that count. One that begins on the road may have nothing on its first but the way home."""
    return [trip for number, trip in enumerate(route.trips) if trip or (number == 0 and rig.start is not None)]


def _access(problem: Problem, rig: Rig, stop: StopTask, *, first: bool, before: set[str]) -> Broken | None:
    if missing := sorted(stop.needs - rig.has):
        return Broken("access", rig.key, stop.key, {"needs": missing[0]})
    if stop.only_rigs is not None and rig.key not in stop.only_rigs:
        return Broken("pinned", rig.key, stop.key, {"to": ", ".join(sorted(stop.only_rigs))})
    if stop.key in rig.barred:
        return Broken("barred", rig.key, stop.key, {})
    if stop.follows is not None and stop.follows not in before:
        return Broken("order", rig.key, stop.key, {"after": stop.follows})
    under = problem.rig_under.get(stop.key)
    aboard = under == rig.key
    if first and rig.start is not None and stop.leaves_shop and not aboard:
        return Broken("not_aboard", rig.key, stop.key, {})
    if aboard and not first:
        return Broken("aboard_first", rig.key, stop.key, {})
    if under is not None and not aboard:
        return Broken("on_another_rig", rig.key, stop.key, {})
    return None


def _loads(problem: Problem, rig: Rig, trip: Sequence[str], *, first: bool) -> Broken | None:
    stops = [problem.by_key[key] for key in trip]
    for dimension, most in enumerate(rig.capacity):
        load = sum(_at(stop.brings, dimension) for stop in stops)
        load += _at(rig.carries, dimension) if first else 0
        if load > most:
            # The stop that cannot be held is the heaviest of those that were loaded together.
            worst = max(stops, key=lambda stop: _at(stop.brings, dimension), default=None)
            facts = {"dimension": dimension, "load": load, "most": most}
            return Broken("load", rig.key, None if worst is None else worst.key, facts)
        for stop in stops:
            load += _at(stop.takes, dimension) - _at(stop.brings, dimension)
            if load > most:
                return Broken("load", rig.key, stop.key, {"dimension": dimension, "load": load, "most": most})
    return None


def _at(load: Sequence[int], dimension: int) -> int:
    return load[dimension] if dimension < len(load) else 0


# What stands where.


def _stand(problem: Problem, rig: Rig, route: Route, stowed: list[Stowed]) -> Broken | None:
    """Order on the deck, tongue and ratings, tie-downs, trip by trip; fills `stowed`."""
    if rig.deck is None:
        return None
    for number, trip in enumerate(_trips(rig, route)):
        stops = [problem.by_key[key] for key in trip if problem.by_key[key].piece is not None]
        moves = tuple(Move(stop.key, on=not stop.leaves_shop) for stop in stops)
        pieces = tuple((stop.key, stop.piece) for stop in stops)
        fixed = number == 0 and rig.start is not None
        at_start = tuple(stop.key for stop in stops if stop.leaves_shop)
        if fixed:
            # All that is on the deck stands there, whether this trip drops it or not.
            known = dict(rig.on_deck) | {key: problem.by_key[key].piece for key in rig.aboard if key in problem.by_key}
            at_start = tuple(key for key in rig.aboard if known.get(key) is not None)
            pieces = tuple((dict(pieces) | {key: known[key] for key in at_start}).items())
        found = _stow(rig, pieces, at_start, moves, fixed=fixed)
        if isinstance(found, Unstowed):
            at = str(found.facts["stop"]) if "stop" in found.facts else (stops[-1].key if stops else None)
            return Broken(found.code, rig.key, at, found.facts)
        if rig.straps is not None:
            for leg in found.legs:
                wanted = sum(count_of_machine(one.piece.length_cm / 100, one.piece.kg) for one in leg)
                if wanted > rig.straps:
                    return Broken("straps", rig.key, leg[-1].key, {"needed": wanted, "there": rig.straps})
        stowed.append(found)
    return None


@lru_cache(maxsize=4096)
def _stow(
    rig: Rig, pieces: tuple[tuple[str, object], ...], at_start: tuple[str, ...], moves: tuple[Move, ...], *, fixed: bool
) -> Stowed | Unstowed:
    # The same trip is looked at again for each position that is tried in the trips beside it.
    assert rig.deck is not None  # noqa: S101 - for the type checker; the caller looked
    return stow(rig.deck, rig.trailer, dict(pieces), at_start, moves, fixed=fixed)  # type: ignore[arg-type]


# When.


@dataclass
class _Walk:
    """One way through the day: where the clock stands, and what was found on the way."""

    now: int
    visits: list[Visit]
    rests: list[tuple[int, int]]
    wrong: Broken | None = None


def _time(problem: Problem, rig: Rig, route: Route, stowed: tuple[Stowed, ...]) -> Timed | Broken:
    opens, closes = rig.shift.opens, rig.shift.closes
    if rig.start is None:
        opens = max(opens, problem.hours.opens)
    closes = min(closes, problem.hours.closes)
    chosen: tuple[_Walk, tuple[int, ...]] | None = None
    wrong: Broken | None = None
    for rests in _rests(rig.breaks, 2 * len(route.keys)):
        walk = _walk(problem, rig, route, opens, rests)
        if walk.wrong is None and (chosen is None or walk.now < chosen[0].now):
            chosen = (walk, rests)
        # Without a way that works, what to name is the failure of the way that came furthest.
        if walk.wrong is not None and (wrong is None or wrong.code == "break"):
            wrong = walk.wrong
    if chosen is None:
        return wrong or Broken("break", rig.key, None, {})
    walk, rests = chosen
    home = walk.now
    if home > closes:
        last = route.keys[-1]
        return Broken("shift", rig.key, last, {"home": home, "closes": closes, "late": home - closes})
    leaves = _latest_start(problem, rig, route, rests, between=(opens, home))
    if rig.longest is not None and home - leaves > rig.longest:
        return Broken("longest", rig.key, route.keys[-1], {"takes": home - leaves, "longest": rig.longest})
    walk = _walk(problem, rig, route, leaves, rests)
    metres = metres_of(problem, route)
    cost = metres * problem.costs.metre + (home - leaves) * problem.costs.second
    return Timed(route, leaves, tuple(walk.visits), home, tuple(walk.rests), metres, cost, stowed)


def _rests(breaks: Sequence[Break], places: int) -> Iterator[tuple[int, ...]]:
    """Every choice of where the breaks are taken: before driving to, or before working at, some stop, or at home."""
    yield from combinations_with_replacement(range(places + 1), len(breaks))


def _walk(problem: Problem, rig: Rig, route: Route, start: int, rests: Sequence[int]) -> _Walk:
    seconds = problem.roads[rig.roads].seconds
    walk = _Walk(start, [], [])
    here = problem.shop if rig.start is None else rig.start
    turn = 0
    for number, trip in enumerate(_trips(rig, route)):
        if number > 0 or rig.start is None:
            released = max((problem.by_key[key].release for key in trip), default=0)
            walk.now = max(walk.now, released, problem.hours.opens) + problem.loading
        for key in trip:
            stop = problem.by_key[key]
            _rest(walk, rig, rests, turn, key)
            walk.now += seconds[here][stop.place]
            arrived = walk.now
            _rest(walk, rig, rests, turn + 1, key)
            turn += 2
            if walk.wrong is not None:
                return walk
            if wrong := _work(problem, rig, stop, arrived, walk):
                walk.wrong = wrong
                return walk
            here = stop.place
        walk.now += seconds[here][problem.shop]
        here = problem.shop
    for rest, at in zip(rig.breaks, rests, strict=True):
        # A break that may still begin when the rig is home is nobody's business on the road.
        if at == turn and walk.now > rest.closes:
            walk.wrong = Broken("break", rig.key, route.keys[-1], {"closes": rest.closes, "now": walk.now})
    return walk


def _rest(walk: _Walk, rig: Rig, rests: Sequence[int], turn: int, key: str) -> None:
    for rest, at in zip(rig.breaks, rests, strict=True):
        if at != turn:
            continue
        begins = max(walk.now, rest.opens)
        if begins > rest.closes and walk.wrong is None:
            walk.wrong = Broken("break", rig.key, key, {"closes": rest.closes, "now": begins})
        walk.rests.append((begins, begins + rest.seconds))
        walk.now = begins + rest.seconds


def _work(problem: Problem, rig: Rig, stop: StopTask, arrived: int, walk: _Walk) -> Broken | None:
    window = min(
        (window for window in stop.windows if walk.now <= window.closes),
        key=lambda window: max(walk.now, window.opens),
        default=None,
    )
    if window is None:
        closes = max(window.closes for window in stop.windows)
        return Broken("window", rig.key, stop.key, {"arrives": walk.now, "closes": closes, "late": walk.now - closes})
    starts = max(walk.now, window.opens)
    if stop.by_daylight and problem.daylight is not None:
        starts = max(starts, problem.daylight.opens)
        if starts > window.closes or starts + stop.service > problem.daylight.closes:
            dark = problem.daylight.closes
            return Broken("daylight", rig.key, stop.key, {"ends": starts + stop.service, "dark": dark})
    walk.now = starts + stop.service
    walk.visits.append(Visit(stop.key, arrived, starts, walk.now))
    return None


def _latest_start(problem: Problem, rig: Rig, route: Route, rests: Sequence[int], *, between: tuple[int, int]) -> int:
    """The latest start that is still home as early as can be, by halving: who leaves later is never home sooner."""
    (low, high), home = between, between[1]
    while low < high:
        middle = (low + high + 1) // 2
        walk = _walk(problem, rig, route, middle, rests)
        if walk.wrong is None and walk.now <= home:
            low = middle
        else:
            high = middle - 1
    return low
