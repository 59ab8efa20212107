"""What the search cannot know is put right here.

Stops that fail the check come out of their route and go back in wherever the check lets them, cheapest place first.
The same tries give the reason of each stop that stays out. Where it costs the least driving is tried first, and when
the time is up nothing more is tried.
"""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from shopapi.dispatch.rules.check import Broken, Timed, check_route, metres_of
from shopapi.dispatch.rules.problem import LeftOut, Problem, Rig, Route, StopTask, can_serve

# Of several rules that fail, in different places, the one that says most about what could be done comes last here.
NEARNESS = (
    "barred", "access", "pinned", "on_another_rig", "aboard_first", "not_aboard", "one_trip_only", "load", "deck_space",
    "straps", "rating", "tongue", "daylight", "longest", "shift", "order", "deck_order", "window", "break",
)  # fmt: skip

# What fails only because of what else is on the deck, once a stop holds alone: another trip has room for it.
LOADING = frozenset({"load", "deck_space", "deck_order", "straps", "rating", "tongue"})

# Whether the time for trying is up.
Over = Callable[[], bool]


def never() -> bool:
    """All the time there is."""
    return False


@dataclass(frozen=True)
class Mended:
    """Routes that all hold; the stops that could not be kept; pairs of which the second was blocked by the first."""

    routes: tuple[Route, ...]
    out: tuple[str, ...]
    blocked: frozenset[tuple[str, str]]
    touched: bool


def mend(problem: Problem, routes: Sequence[Route], over: Over = never) -> Mended:
    """Take out what breaks a rule, put back what can be kept: required stops first, then the dearest to leave out.

    Once it is `over`, no more is put back.
    """
    held: dict[str, Timed] = {}
    blocked: set[tuple[str, str]] = set()
    seen: set[str] = set()
    touched = False
    for route in routes:
        trips = tuple(tuple(key for key in trip if key not in seen) for trip in route.trips)
        seen |= set(route.keys)
        now = Route(route.rig, trips)
        while now.keys:
            checked = check_route(problem, now)
            if isinstance(checked, Timed):
                held[now.rig] = checked
                break
            touched = True
            if checked.code == "deck_order":
                blocked.add((str(checked.facts["behind"]), str(checked.facts["stop"])))
            now = without(problem, now, _culprit(problem, now, checked))
    placed = {key for timed in held.values() for key in timed.route.keys}
    loose = sorted(
        (stop for stop in problem.stops if stop.key not in placed),
        key=lambda stop: (not stop.required, -stop.prize, stop.key),
    )
    # What follows another stop can only be put back after it.
    out = [*(one for one in loose if one.follows is None), *(one for one in loose if one.follows is not None)]
    tried: list[StopTask] = []
    # One that came back may be on the way to another that was too far before.
    while len(out) != len(tried):
        tried, out = out, []
        for stop in tried:
            found = _cheapest(problem, held, stop, over)
            if found is None:
                out.append(stop)
            else:
                held[found.route.rig] = found
                touched = True
    found_routes = tuple(held[rig.key].route for rig in problem.rigs if rig.key in held)
    return Mended(found_routes, tuple(stop.key for stop in out), frozenset(blocked), touched)


def without(problem: Problem, route: Route, key: str) -> Route:
    """The route with one stop taken out; an empty first trip stays where the rig begins on the road."""
    on_road = problem.rig_by_key[route.rig].start is not None
    trips = tuple(tuple(each for each in trip if each != key) for trip in route.trips)
    return Route(route.rig, tuple(trip for at, trip in enumerate(trips) if trip or (at == 0 and on_road)))


def _culprit(problem: Problem, route: Route, broken: Broken) -> str:
    if broken.stop is not None and broken.stop in route.keys:
        stop = problem.by_key[broken.stop]
        if not stop.required or broken.code not in ("shift", "longest", "break"):
            return broken.stop
    # Too long a day is no single stop's fault: an optional one goes first, the least missed, the last of equals.
    return min(reversed(route.keys), key=lambda key: (problem.by_key[key].required, problem.by_key[key].prize))


def places_for(problem: Problem, routes: dict[str, Route], stop: StopTask) -> Iterator[Route]:
    """Every route that serves one more stop: each position of each trip, each new trip, each rig that stands idle."""
    idle: set[Rig] = set()
    for rig in problem.rigs:
        if not can_serve(rig, stop):
            continue
        route = routes.get(rig.key)
        if route is None or not route.keys:
            # Idle rigs that differ in nothing but their name are one try.
            alike = replace(rig, key="")
            if alike in idle:
                continue
            idle.add(alike)
            yield Route(rig.key, ((stop.key,),))
            if rig.start is not None:
                yield Route(rig.key, ((), (stop.key,)))
            continue
        for number, trip in enumerate(route.trips):
            for at in range(len(trip) + 1):
                grown = (*trip[:at], stop.key, *trip[at:])
                yield Route(rig.key, (*route.trips[:number], grown, *route.trips[number + 1 :]))
        if rig.reload:
            for number in range(len(route.trips) + 1):
                yield Route(rig.key, (*route.trips[:number], (stop.key,), *route.trips[number:]))


def _nearest_first(problem: Problem, routes: dict[str, Route], stop: StopTask) -> list[Route]:
    metres = {rig: metres_of(problem, route) for rig, route in routes.items()}
    return sorted(
        places_for(problem, routes, stop),
        key=lambda route: metres_of(problem, route) - metres.get(route.rig, 0),
    )


def _cheapest(problem: Problem, held: dict[str, Timed], stop: StopTask, over: Over) -> Timed | None:
    if over():
        return None
    routes = {key: timed.route for key, timed in held.items()}
    best: tuple[int, Timed] | None = None
    for route in _nearest_first(problem, routes, stop):
        if over():
            break
        checked = check_route(problem, route)
        if isinstance(checked, Timed):
            before = held[route.rig].cost if route.rig in held else 0
            more = checked.cost - before
            if best is None or more < best[0]:
                best = (more, checked)
    if best is None or (not stop.required and best[0] >= stop.prize):
        return None
    return best[1]


def reasons(
    problem: Problem,
    routes: Sequence[Route],
    out: Sequence[str],
    over: Over = never,
    *,
    locked: frozenset[str] = frozenset(),
) -> tuple[LeftOut, ...]:
    """For each stop left out: the first rule that fails, tried alone and then at each position of each route.

    No rig of `locked` takes one more. Once it is `over`, stops are tried alone only, and one that passes so has
    "no_time" for its reason.
    """
    by_rig = {route.rig: route for route in routes}
    found = {key: _alone(problem, problem.by_key[key]) for key in out}
    return tuple(found[key] or _beside_others(problem, by_rig, problem.by_key[key], over, locked) for key in out)


def _alone(problem: Problem, stop: StopTask) -> LeftOut | None:
    """Why no rig could serve the stop even if it had nothing else to do; None: one could."""
    if not problem.rigs:
        return LeftOut(stop.key, "no_rig", {})
    failed: list[Broken] = []
    pinned = stop.only_rigs is not None
    for rig in {rig if pinned else replace(rig, key=""): rig for rig in reversed(problem.rigs)}.values():
        trips = ((stop.key,),) if rig.start is None or stop.key in rig.aboard else ((), (stop.key,))
        checked = check_route(problem, Route(rig.key, trips))
        if isinstance(checked, Timed):
            return None
        failed.append(checked)
    nearest = max(failed, key=lambda broken: _nearness(broken.code))
    return LeftOut(stop.key, nearest.code, {**nearest.facts, "rig": nearest.rig, "alone": 1})


def _beside_others(
    problem: Problem, routes: dict[str, Route], stop: StopTask, over: Over, locked: frozenset[str]
) -> LeftOut:
    failed: list[Broken] = []
    cheapest: tuple[int, str] | None = None
    for route in () if over() else _nearest_first(problem, routes, stop):
        if over():
            break
        if route.rig in locked:
            continue
        checked = check_route(problem, route)
        if isinstance(checked, Broken):
            failed.append(checked)
            continue
        before = routes.get(route.rig)
        now = check_route(problem, before) if before is not None and before.keys else None
        more = checked.cost - (now.cost if isinstance(now, Timed) else 0)
        if cheapest is None or more < cheapest[0]:
            cheapest = (more, route.rig)
    if over() or (cheapest is not None and (stop.required or cheapest[0] < stop.prize)):
        # Not tried everywhere; or it fits here for less than its price, and only the time to put it there was missing.
        return LeftOut(stop.key, "no_time", {})
    if cheapest is None:
        return _what_fails_most(stop, failed)
    # It can be served, it is only not worth it; the person decides with both figures in sight.
    return LeftOut(stop.key, "not_worth_it", {"more": cheapest[0], "prize": stop.prize, "rig": cheapest[1]})


def _what_fails_most(stop: StopTask, failed: Sequence[Broken]) -> LeftOut:
    if not failed:
        return LeftOut(stop.key, "no_rig_free", {})
    # Where there is room for it, what fails there is what a person can change.
    failed = [broken for broken in failed if broken.code not in LOADING] or failed
    code = max(Counter(broken.code for broken in failed).items(), key=lambda item: (item[1], _nearness(item[0])))[0]
    nearest = min(
        (broken for broken in failed if broken.code == code),
        key=lambda broken: (int(broken.facts.get("late", 0)), broken.rig),
    )
    return LeftOut(stop.key, code, {**nearest.facts, "rig": nearest.rig})


def _nearness(code: str) -> int:
    return NEARNESS.index(code) if code in NEARNESS else len(NEARNESS)
