"""Repairs routes that break rules which the search does not know.

Stops that fail the check are taken out of their route and inserted wherever the check allows, cheapest place first,
until the time is up. The same tries give the reason of each stop that stays out.
"""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from shopapi.planner.check import Schedule, Violation, check_route, metres_of
from shopapi.planner.problem import LeftOut, Problem, RigDay, Route, StopTask, can_serve

# Of several rules that fail in different places, the most helpful one for a person comes last here.
FAILURE_RANK = (
    "barred", "access", "pinned", "on_another_rig", "aboard_first", "not_aboard", "one_trip_only", "load", "deck_space",
    "rating", "tongue", "straps", "daylight", "longest", "shift", "order", "deck_order", "window", "break",
)  # fmt: skip

# Failures caused by other machines on the deck: a stop that is feasible alone fits on another trip.
LOAD_CODES = frozenset({"load", "deck_space", "deck_order", "straps", "rating", "tongue"})

# The two figures of a failure whose difference is the shortfall; "": the first figure is the shortfall.
SHORTFALL = {
    "load": ("load", "most"),
    "straps": ("needed", "there"),
    "rating": ("over_kg", ""),
    "window": ("late", ""),
    "shift": ("late", ""),
    "longest": ("takes", "longest"),
    "daylight": ("ends", "dark"),
    "break": ("now", "closes"),
}

# Whether the time is up.
Deadline = Callable[[], bool]


def no_deadline() -> bool:
    """No time limit."""
    return False


@dataclass(frozen=True)
class RepairResult:
    """Feasible routes; the stops left out; pairs of which the second was blocked by the first."""

    routes: tuple[Route, ...]
    out: tuple[str, ...]
    blocked: frozenset[tuple[str, str]]
    changed: bool


def repair(problem: Problem, routes: Sequence[Route], expired: Deadline = no_deadline) -> RepairResult:
    """Take out stops that break a rule, insert what fits: required stops first, then the dearest to leave out.

    Nothing is inserted once it is `expired`.
    """
    held: dict[str, Schedule] = {}
    blocked: set[tuple[str, str]] = set()
    seen: set[str] = set()
    changed = False
    for route in routes:
        trips = tuple(tuple(key for key in trip if key not in seen) for trip in route.trips)
        seen |= set(route.keys)
        now = Route(route.rig, trips)
        while now.keys:
            checked = check_route(problem, now)
            if isinstance(checked, Schedule):
                held[now.rig] = checked
                break
            changed = True
            if checked.code == "deck_order":
                blocked.add((str(checked.facts["behind"]), str(checked.facts["stop"])))
            now = remove_stop(problem, now, _stop_to_remove(problem, now, checked))
    placed = {key for schedule in held.values() for key in schedule.route.keys}
    loose = sorted(
        (stop for stop in problem.stops if stop.key not in placed),
        key=lambda stop: (not stop.required, -stop.prize, stop.key),
    )
    # A stop that follows another can only be inserted after it.
    out = [*(one for one in loose if one.follows is None), *(one for one in loose if one.follows is not None)]
    tried: list[StopTask] = []
    # One that came back may be on the way to another that was too far before.
    while len(out) != len(tried):
        tried, out = out, []
        for stop in tried:
            found = _cheapest_insertion(problem, held, stop, expired)
            if found is None:
                out.append(stop)
            else:
                held[found.route.rig] = found
                changed = True
    found_routes = tuple(held[rig.key].route for rig in problem.rigs if rig.key in held)
    return RepairResult(found_routes, tuple(stop.key for stop in out), frozenset(blocked), changed)


def remove_stop(problem: Problem, route: Route, key: str) -> Route:
    """The route without one stop; an empty first trip stays where the rig begins on the road."""
    on_road = problem.rig_by_key[route.rig].start is not None
    trips = tuple(tuple(each for each in trip if each != key) for trip in route.trips)
    return Route(route.rig, tuple(trip for at, trip in enumerate(trips) if trip or (at == 0 and on_road)))


def _stop_to_remove(problem: Problem, route: Route, violation: Violation) -> str:
    if violation.stop is not None and violation.stop in route.keys:
        stop = problem.by_key[violation.stop]
        if not stop.required or violation.code not in ("shift", "longest", "break"):
            return violation.stop
    # Too long a day is no single stop's fault: an optional one goes first, the least missed, the last of equals.
    return min(reversed(route.keys), key=lambda key: (problem.by_key[key].required, problem.by_key[key].prize))


def insertions(problem: Problem, routes: dict[str, Route], stop: StopTask) -> Iterator[Route]:
    """Every route with one more stop: each position of each trip, each new trip, each idle rig."""
    idle: set[RigDay] = set()
    for rig in problem.rigs:
        if not can_serve(rig, stop):
            continue
        route = routes.get(rig.key)
        if route is None or not route.keys:
            # Idle rigs that differ only by their name are tried once.
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


def _cheapest_first(problem: Problem, routes: dict[str, Route], stop: StopTask) -> list[Route]:
    metres = {rig: metres_of(problem, route) for rig, route in routes.items()}
    return sorted(
        insertions(problem, routes, stop),
        key=lambda route: metres_of(problem, route) - metres.get(route.rig, 0),
    )


def _cheapest_insertion(
    problem: Problem, held: dict[str, Schedule], stop: StopTask, expired: Deadline
) -> Schedule | None:
    if expired():
        return None
    routes = {key: schedule.route for key, schedule in held.items()}
    best: tuple[int, Schedule] | None = None
    for route in _cheapest_first(problem, routes, stop):
        if expired():
            break
        checked = check_route(problem, route)
        if isinstance(checked, Schedule):
            before = held[route.rig].cost if route.rig in held else 0
            more = checked.cost - before
            if best is None or more < best[0]:
                best = (more, checked)
    if best is None or (not stop.required and best[0] >= stop.prize):
        return None
    return best[1]


def explain_left_out(
    problem: Problem,
    routes: Sequence[Route],
    out: Sequence[str],
    expired: Deadline = no_deadline,
    *,
    locked: frozenset[str] = frozenset(),
) -> tuple[LeftOut, ...]:
    """For each stop left out: the first rule that fails, tried alone and then at each position of each route.

    No rig of `locked` takes one more. Once it is `expired`, stops are tried alone only, and one that passes so has
    "no_time" for its reason.
    """
    by_rig = {route.rig: route for route in routes}
    found = {key: _why_not_alone(problem, problem.by_key[key]) for key in out}
    return tuple(
        found[key] or _why_not_with_others(problem, by_rig, problem.by_key[key], expired, locked) for key in out
    )


def _why_not_alone(problem: Problem, stop: StopTask) -> LeftOut | None:
    """Why no rig could serve the stop even with nothing else to do; None: one could.

    Of the rigs that may have it at all, the one that comes closest.
    """
    if not problem.rigs:
        return LeftOut(stop.key, "no_rig", {})
    # The stop that it follows is ignored here.
    free = replace(problem, stops=tuple(replace(one, follows=None) for one in problem.stops))
    rigs = [rig for rig in problem.rigs if stop.only_rigs is None or rig.key in stop.only_rigs]
    if not rigs:
        return LeftOut(stop.key, "pinned", {"alone": 1})
    under = problem.rig_under.get(stop.key)
    failed: list[Violation] = []
    pinned = stop.only_rigs is not None
    for rig in {rig if pinned else replace(rig, key=""): rig for rig in reversed(rigs)}.values():
        if under is not None and rig.key != under:
            continue
        trips = ((stop.key,),) if rig.start is None or stop.key in rig.aboard else ((), (stop.key,))
        checked = check_route(free, Route(rig.key, trips))
        if isinstance(checked, Schedule):
            return None
        failed.append(checked)
    if not failed:
        return LeftOut(stop.key, "on_another_rig", {"alone": 1})
    furthest = max(_failure_rank(violation.code) for violation in failed)
    nearest = min((violation for violation in failed if _failure_rank(violation.code) == furthest), key=_shortfall)
    facts = {**nearest.facts, "rig": nearest.rig, "alone": 1}
    if nearest.code == "access":
        facts |= {"needs": ", ".join(sorted(stop.needs)), "pinned": int(pinned)}
    return LeftOut(stop.key, nearest.code, facts)


def _why_not_with_others(
    problem: Problem, routes: dict[str, Route], stop: StopTask, expired: Deadline, locked: frozenset[str]
) -> LeftOut:
    failed: list[Violation] = []
    cheapest: tuple[int, str] | None = None
    for route in () if expired() else _cheapest_first(problem, routes, stop):
        if expired():
            break
        if route.rig in locked:
            continue
        checked = check_route(problem, route)
        if isinstance(checked, Violation):
            failed.append(checked)
            continue
        before = routes.get(route.rig)
        now = check_route(problem, before) if before is not None and before.keys else None
        more = checked.cost - (now.cost if isinstance(now, Schedule) else 0)
        if cheapest is None or more < cheapest[0]:
            cheapest = (more, route.rig)
    if expired() or (cheapest is not None and (stop.required or cheapest[0] < stop.prize)):
        # Not tried everywhere; or it fits here for less than its price, and only the time to put it there was missing.
        return LeftOut(stop.key, "no_time", {})
    if cheapest is None:
        return _nearest_violation(stop, failed)
    # It can be served but is not worth it: a person decides, given both figures.
    return LeftOut(stop.key, "not_worth_it", {"more": cheapest[0], "prize": stop.prize, "rig": cheapest[1]})


def _nearest_violation(stop: StopTask, failed: Sequence[Violation]) -> LeftOut:
    """The rule that fails where the stop comes closest to fitting in."""
    if not failed:
        return LeftOut(stop.key, "no_rig_free", {})
    # Places before the stop that it follows say nothing while there are others.
    failed = [violation for violation in failed if violation.code != "order"] or failed
    # Where there is room for it, what fails there is what a person can change.
    failed = [violation for violation in failed if violation.code not in LOAD_CODES] or failed
    if all(violation.code in LOAD_CODES for violation in failed):
        code = max(
            Counter(violation.code for violation in failed).items(), key=lambda item: (item[1], _failure_rank(item[0]))
        )[0]
        failed = [violation for violation in failed if violation.code == code]
    nearest = min(failed, key=_shortfall)
    facts = {**nearest.facts, "rig": nearest.rig}
    if nearest.stop is not None and nearest.stop != stop.key:
        facts["other"] = nearest.stop
    return LeftOut(stop.key, nearest.code, facts)


def _shortfall(violation: Violation) -> tuple[float, str]:
    """By how much a rule is missed, to compare failures of one kind: seconds, shares of a load, kilograms, pieces."""
    facts = violation.facts
    expired, within = SHORTFALL.get(violation.code, ("", ""))
    if not expired:
        return float("inf"), violation.rig
    missed = float(facts[expired]) - (float(facts[within]) if within else 0)
    return missed / float(facts["most"]) if violation.code == "load" else missed, violation.rig


def _failure_rank(code: str) -> int:
    return FAILURE_RANK.index(code) if code in FAILURE_RANK else len(FAILURE_RANK)
