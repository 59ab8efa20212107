"""The planner: proven small days, plans of a fixed number of rounds, stops left out with their reason."""

import itertools
import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopapi.benchmarks.dispatch import drawn_day
from shopapi.core.rendering import render
from shopapi.dispatch.rules.left_out import rule_reason
from shopapi.planner.check import Schedule, check_plan, check_route
from shopapi.planner.exact import solve_exact
from shopapi.planner.problem import Costs, Plan, Problem, RigDay, Route, StopTask, TimeWindow, TravelMatrix
from shopapi.planner.pyvrp_model import PyvrpModel
from shopapi.planner.repair import explain_left_out, repair
from shopapi.planner.search import Search
from shopapi.planner.search_task import SearchTask
from shopapi.planner.search_worker import SearchWorker
from shopapi.planner.solver import HERE, Budget, Cancelled, Progress, solve
from tests.planner.routing import BEST_KNOWN, TINY, problem


def still() -> float:
    """A stopped clock: only rounds count."""
    return 0.0


def plan(instance: Problem, rounds: int = 300) -> Plan:
    return solve(instance, Budget(rounds=rounds), clock=still)


def drawn(seed: int, stops: int, *, second: int = 0, longest: int | None = None) -> Problem:
    """A random small day with every feature."""
    chance = random.Random(seed)  # noqa: S311 - a drawn day, no secret
    points = [(chance.random(), chance.random()) for _ in range(stops + 1)]
    metres = tuple(
        tuple(int(3600 * ((ax - bx) ** 2 + (ay - by) ** 2) ** 0.5) for bx, by in points) for ax, ay in points
    )
    tasks = []
    for number in range(1, stops + 1):
        load, kind = (chance.randint(100, 400),), chance.choice(["return", "pickup", "visit"])
        opens = chance.randrange(0, 9000, 600)
        windows: tuple[TimeWindow, ...] = (TimeWindow(opens, opens + 4000),)
        if chance.random() < 0.3:
            windows += (TimeWindow(opens + 6000, opens + 8000),)
        required = chance.random() < 0.6
        tasks.append(
            StopTask(
                key=str(number),
                place=number,
                brings=load if kind == "return" else (),
                takes=load if kind == "pickup" else (),
                windows=windows,
                service=chance.randrange(300, 1500, 300),
                release=chance.choice([0, 0, 3000]) if kind == "return" else 0,
                required=required,
                prize=0 if required else chance.randint(500, 4000),
                needs=frozenset({"winch"}) if chance.random() < 0.2 else frozenset(),
            )
        )
    rigs = (
        RigDay("big", (800,), TimeWindow(0, 20_000), longest, has=frozenset({"winch"})),
        RigDay("small", (400,), TimeWindow(0, 15_000), longest),
    )
    return Problem((TravelMatrix(metres, metres),), rigs, tuple(tasks), costs=Costs(1, second), loading=60)


def by_brute_force(day: Problem) -> int | None:
    """The least cost over all choices and orders of stops, all trips and all assignments to rigs."""
    alone: dict[str, dict[frozenset[str], int]] = {}
    for rig in day.rigs:
        found = alone[rig.key] = {frozenset(): 0}
        keys = [stop.key for stop in day.stops]
        for size in range(1, len(keys) + 1):
            for order in itertools.permutations(keys, size):
                for cuts in range(2 ** (size - 1)):
                    trips, trip = [], [order[0]]
                    for at, key in enumerate(order[1:]):
                        if cuts >> at & 1:
                            trips.append(tuple(trip))
                            trip = []
                        trip.append(key)
                    checked = check_route(day, Route(rig.key, (*trips, tuple(trip))))
                    served = frozenset(order)
                    if isinstance(checked, Schedule) and checked.cost < found.get(served, 10**12):
                        found[served] = checked.cost
    required = {stop.key for stop in day.stops if stop.required}
    prizes = {stop.key: stop.prize for stop in day.stops}
    costs = [
        one + other + sum(prize for key, prize in prizes.items() if key not in served | more)
        for served, one in alone["big"].items()
        for more, other in alone["small"].items()
        if not served & more and required <= served | more
    ]
    return min(costs, default=None)


@pytest.mark.parametrize("name", TINY)
def test_tiny_days_are_proven_best(name: str) -> None:
    found = plan(problem(name))

    assert (found.cost, found.feasible, found.proven) == (BEST_KNOWN[name]["cost"], True, True)


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize(("second", "longest"), [(0, None), (2, None), (0, 6000), (1, 7000)])
def test_exact_search_matches_brute_force(seed: int, second: int, longest: int | None) -> None:
    day = drawn(seed, 5, second=second, longest=longest)

    routes = solve_exact(day)
    best = by_brute_force(day)

    assert (None if routes is None else check_plan(day, routes).cost) == best
    assert routes is None or check_plan(day, routes).feasible


@pytest.mark.parametrize("name", ["rcdp1001", "rcdp2504", "PR11", "CMT01H", "R101.25.8"])
def test_plans_are_feasible_and_near_the_best_known(name: str) -> None:
    found = plan(problem(name), rounds=1500)

    result = check_plan(problem(name), found.routes)
    assert (result.violations, result.cost) == ((), found.cost)
    assert BEST_KNOWN[name]["cost"] <= found.cost <= 1.03 * BEST_KNOWN[name]["cost"]


def test_same_rounds_and_seed_give_the_same_plan_with_two_searches() -> None:
    instance = problem("R201R0.5")

    one, other = (solve(instance, Budget(rounds=150), seed=7, clock=still, spawn=SearchWorker) for _ in range(2))

    assert one == other
    assert check_plan(instance, one.routes).feasible == one.feasible


def test_dead_helper_does_not_end_the_search() -> None:
    class Dying(SearchWorker):
        def __init__(self, task: SearchTask) -> None:
            super().__init__(task)
            self._process.kill()

    found = solve(problem("rcdp5001"), Budget(rounds=100), clock=still, spawn=Dying)

    assert check_plan(problem("rcdp5001"), found.routes).cost == found.cost


def test_watcher_sees_plans_and_may_cancel() -> None:
    seen: list[Progress] = []
    tick = itertools.count()

    def watch(progress: Progress) -> bool:
        seen.append(progress)
        return len(seen) < 3

    with pytest.raises(Cancelled):
        solve(problem("rdp105"), Budget(rounds=5000), watch=watch, clock=lambda: float(next(tick)))
    assert len(seen) == 3
    assert [progress.share for progress in seen] == sorted(progress.share for progress in seen)
    assert all(0 <= progress.share <= 1 for progress in seen)


def test_overfull_day_has_a_first_answer_at_once() -> None:
    seen: list[Progress] = []
    # Four rigs of ten.
    few = replace(drawn_day(60), rigs=drawn_day(60).rigs[:4])

    def watch(progress: Progress) -> bool:
        seen.append(progress)
        return False

    with pytest.raises(Cancelled):
        solve(few, Budget(rounds=300), watch=watch, clock=still)
    [first] = seen
    assert first.share == 0
    assert first.routes is not None
    result = check_plan(few, first.routes)
    assert {violation.code for violation in result.violations} == {"left_out"}
    assert len(few.stops) - len(result.left_out) > 10


def test_search_without_improvement_can_be_cancelled() -> None:
    seen: list[Progress] = []
    tick = itertools.count()

    def watch(progress: Progress) -> bool:
        seen.append(progress)
        return len(seen) < 40

    with pytest.raises(Cancelled):
        # Best at once, and nothing to find afterwards.
        solve(problem("rcdp1001"), Budget(rounds=15_000), watch=watch, clock=lambda: float(next(tick)))
    assert len({progress.cost for progress in seen}) < len(seen)


@pytest.mark.parametrize("name", ["CMT01H", "R201R0.5", "PR11"])
def test_patch_is_the_nearest_stops_and_nothing_else_moves(name: str) -> None:
    model = PyvrpModel(problem(name))
    whole = Search(model, HERE, 1).best

    holed = model.remove_patch(whole, 7, 10)

    before = [key for route in model.routes(whole) for key in route.keys]
    after = [key for route in model.routes(holed) for key in route.keys]
    gone = set(before) - set(after)
    assert len(gone) == 10
    assert after == [key for key in before if key not in gone]
    assert all(all(route.trips) for route in model.routes(holed))
    # No stop that stayed is nearer to the middle than a removed one.
    stops = model.problem.stops
    metres = model.problem.roads[0].metres[stops[7].place]
    far = {stop.key: metres[stop.place] for stop in stops}
    assert max(far[key] for key in gone) <= min(far[key] for key in after)


@settings(deadline=None, max_examples=40)
@given(seed=st.integers(0, 10**6), tries=st.integers(0, 60))
def test_each_left_out_stop_has_a_reason_in_any_time(seed: int, tries: int) -> None:
    day = drawn(seed, 6)
    tick = itertools.count()
    routes = repair(day, ()).routes
    out = check_plan(day, routes).left_out

    cut = explain_left_out(day, routes, out, lambda: next(tick) >= tries)
    whole = {reason.stop: reason for reason in explain_left_out(day, routes, out)}

    assert [reason.stop for reason in cut] == list(out)
    assert all(render(rule_reason(reason.code, reason.facts, {}, pounds=False)) for reason in cut)
    # What is said in haste is what would be said at leisure, or that there was no time.
    assert all(reason.code == "no_time" or reason == whole[reason.stop] for reason in cut)
    # All is tried again, so what fits nowhere or is not worth it is known; nothing else was left out.
    assert all(reason.code != "no_time" for reason in whole.values())


@pytest.mark.parametrize("seed", range(4))
def test_overloaded_rig_on_the_road_comes_home_first_and_may_go_again(seed: int) -> None:
    day = drawn(seed, 4)
    on_road = RigDay("big", (800,), TimeWindow(0, 40_000), start=1, carries=(801,), has=frozenset({"winch"}))
    day = replace(day, rigs=(on_road,))

    found = plan(day)

    # The windows of a drawn day may shut before it is back.
    assert {violation.code for violation in check_plan(day, found.routes).violations} <= {"left_out"}
    assert [route.trips[0] for route in found.routes] == [()]
    assert found.routes[0].keys


@settings(deadline=None, max_examples=40)
@given(seed=st.integers(0, 10**6), tries=st.integers(0, 60))
def test_interrupted_repair_keeps_every_rule(seed: int, tries: int) -> None:
    day = drawn(seed, 6)
    tick = itertools.count()

    repaired = repair(day, (), lambda: next(tick) >= tries)

    result = check_plan(day, repaired.routes)
    assert {violation.code for violation in result.violations} <= {"left_out"}
    assert sorted(result.left_out) == sorted(repaired.out)


@pytest.mark.parametrize("seconds", [300, 3000])
def test_plan_keeps_its_time_limit(seconds: int) -> None:
    # A clock that goes on by one each time it is asked: each round of the search and each try afterwards asks it once.
    tick = itertools.count()
    day = drawn_day(60)
    # Twenty stops too many for the rigs there are.
    few = replace(day, rigs=day.rigs[:4])

    found = solve(few, Budget(seconds=seconds), clock=lambda: float(next(tick)))

    assert next(tick) <= 1.1 * seconds
    assert {reason.stop for reason in found.left_out} == set(check_plan(few, found.routes).left_out)
