"""Whole days: deck, lunch, releases; what stays out and why; the rest of a day that has begun; bad input."""

import random
from dataclasses import replace

import pytest

from shopapi.core.rendering import render
from shopapi.dispatch.rules.left_out import rule_reason
from shopapi.planner import solver
from shopapi.planner.check import Schedule, check_plan, check_route
from shopapi.planner.exact import solve_exact
from shopapi.planner.loading.deck import Deck, Piece
from shopapi.planner.loading.stowage import Trailer
from shopapi.planner.problem import Break, Costs, Plan, Problem, RigDay, Route, StopTask, TimeWindow, TravelMatrix
from shopapi.planner.replan import RigPosition, remaining_problem
from shopapi.planner.solver import Budget, count_changes, solve
from tests.planner.test_plan import drawn

HOUR = 3600
MACHINE = Piece(250, 180, 110)
TRAILER = Trailer(empty_kg=400, tongue_kg=50, axle_cm=320, deck_cm=120, gvwr_kg=1400)


def roads(size: int, seed: int = 1) -> TravelMatrix:
    """Places within about 20 km of the shop, driven at 40 km/h."""
    chance = random.Random(seed)  # noqa: S311 - drawn places, no secret
    points = [(0.0, 0.0), *((chance.uniform(-20, 20), chance.uniform(-20, 20)) for _ in range(size - 1))]
    metres = tuple(
        tuple(round(1000 * ((ax - bx) ** 2 + (ay - by) ** 2) ** 0.5) for bx, by in points) for ax, ay in points
    )
    return TravelMatrix(metres, tuple(tuple(round(far * 0.09) for far in row) for row in metres))


def rig(key: str, **more: object) -> RigDay:
    standard = RigDay(
        key,
        (700, 380, 2),
        TimeWindow(8 * HOUR, 17 * HOUR),
        breaks=(Break(int(11.5 * HOUR), 13 * HOUR, 1800),),
        deck=Deck(380, 180, gap_cm=10),
        trailer=TRAILER,
        straps=8,
    )
    return replace(standard, **more)  # type: ignore[arg-type] # each test names fields that there are


def twelve() -> Problem:
    """A typical day: five returns, four pickups, three visits, two rigs."""
    stops = []
    for number in range(1, 13):
        kind = "return" if number <= 5 else "pickup" if number <= 9 else "visit"
        load = (250, 190, 1)
        window = TimeWindow(8 * HOUR, 12 * HOUR) if number % 4 == 0 else TimeWindow(8 * HOUR, 16 * HOUR)
        stops.append(
            StopTask(
                str(number),
                number,
                brings=load if kind == "return" else (),
                takes=load if kind == "pickup" else (),
                windows=(window,),
                service=2700 if kind == "visit" else 1200,
                release=10 * HOUR if number in {2, 5} else 0,
                required=number != 12,
                prize=20_000 if number == 12 else 0,
                piece=None if kind == "visit" else MACHINE,
            )
        )
    return Problem((roads(13),), (rig("north"), rig("south")), tuple(stops), costs=Costs(1, 1), loading=600)


def plan(problem: Problem, rounds: int = 400, **more: object) -> Plan:
    found = solve(problem, Budget(rounds=rounds), clock=lambda: 0.0, **more)  # type: ignore[arg-type] # each test names fields that there are
    result = check_plan(problem, found.routes)
    assert result.cost == found.cost
    assert {violation.code for violation in result.violations} <= {"left_out"}
    assert {left.stop for left in found.left_out} == set(result.left_out)
    # The words of each reason find every figure that they name.
    assert all(render(rule_reason(left.code, left.facts, {}, pounds=True)) for left in found.left_out)
    return found


def test_a_typical_day_is_planned_and_holds() -> None:
    problem = twelve()
    found = plan(problem)

    assert found.feasible
    result = check_plan(problem, found.routes)
    for schedule in result.schedules:
        assert schedule.home <= 17 * HOUR
        assert all(11.5 * HOUR <= start <= 13 * HOUR for start, _ in schedule.breaks)
        assert all(
            0.10 <= pull.tongue_share <= 0.15
            for stowage in schedule.stowages
            for leg, pull in zip(stowage.legs, stowage.tow_loads, strict=True)
            if leg
        )


def test_the_deck_turns_the_order_round() -> None:
    # The pickup is on the way to the return, but on one lane it would stand behind the machine to be dropped.
    line = tuple(tuple(abs(a - b) * 10_000 for b in range(3)) for a in range(3))
    problem = Problem(
        (TravelMatrix(line, line),),
        (RigDay("truck", (1000,), TimeWindow(0, 10**6), reload=False, deck=Deck(400, 150)),),
        (
            StopTask("take", 1, takes=(100,), piece=Piece(100, 180, 100)),
            StopTask("bring", 2, brings=(100,), piece=Piece(100, 180, 100)),
        ),
    )
    assert plan(problem).routes == (Route("truck", (("bring", "take"),)),)


def test_many_stops_on_one_lane_still_hold() -> None:
    problem = twelve()
    # Deck for three machines in a row, no tongue to mind: the order alone decides.
    long = Deck(800, 180, gap_cm=10)
    wide = tuple(rig(key, capacity=(2000, 800, 4), deck=long, trailer=None, straps=None) for key in ("one", "two"))

    assert plan(replace(problem, rigs=wide)).feasible


@pytest.mark.parametrize("seed", range(5))
def test_the_search_finds_what_the_exact_search_proves(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    day = drawn(seed + 40, 7, second=seed % 2)
    routes = solve_exact(day)
    monkeypatch.setattr(solver, "MAX_STOPS", 0)

    found = plan(day, rounds=600)
    if routes is None:
        assert not found.feasible
    else:
        assert (found.feasible, found.cost) == (True, check_plan(day, routes).cost)


@pytest.mark.parametrize(
    ("stop", "code"),
    [
        (StopTask("x", 1, brings=(5000,)), "load"),
        (StopTask("x", 1, takes=(250, 190, 3)), "load"),
        (StopTask("x", 1, windows=(TimeWindow(0, 7 * HOUR),)), "window"),
        (StopTask("x", 1, service=9 * HOUR), "shift"),
        (StopTask("x", 1, needs=frozenset({"winch"})), "access"),
        (StopTask("x", 1, only_rigs=frozenset({"east"})), "pinned"),
        (StopTask("x", 1, takes=(100, 390, 1), piece=Piece(100, 390, 100)), "load"),
        (StopTask("x", 1, takes=(650, 300, 1), piece=Piece(1100, 300, 100)), "rating"),
        (StopTask("x", 1, service=HOUR, required=False, prize=100), "not_worth_it"),
        (StopTask("x", 1, follows="nowhere"), "order"),
    ],
)
def test_a_stop_that_cannot_be_held_is_named_with_its_reason(stop: StopTask, code: str) -> None:
    problem = Problem((roads(3),), (rig("north"), rig("south")), (stop, StopTask("y", 2)), costs=Costs(1, 1))

    found = plan(problem, rounds=100)

    assert [(left.stop, left.code) for left in found.left_out] == [("x", code)]
    assert found.feasible is not stop.required
    assert [route.keys for route in found.routes] == [("y",)]


def test_an_overfull_day_keeps_what_it_can() -> None:
    stops = tuple(StopTask(str(number), number, service=2 * HOUR) for number in range(1, 12))
    problem = Problem((roads(12),), (rig("north", breaks=()),), stops)

    found = plan(problem, rounds=200)

    assert not found.feasible
    assert {left.code for left in found.left_out} == {"shift"}
    # Nine hours hold four visits of two hours at least.
    assert len(found.routes[0].keys) >= 3


def test_days_with_nothing_in_them() -> None:
    nobody = plan(Problem((roads(2),), (), (StopTask("a", 1),)))
    nothing = plan(Problem((roads(2),), (rig("north"),), ()))

    assert ([left.code for left in nobody.left_out], nobody.feasible) == (["no_rig"], False)
    assert (nothing.routes, nothing.cost, nothing.feasible, nothing.proven) == ((), 0, True, True)


def test_five_hundred_stops_get_an_answer() -> None:
    stops = tuple(
        StopTask(str(number), number, takes=(100,), service=600, windows=(TimeWindow(0, 16 * HOUR),))
        for number in range(1, 501)
    )
    rigs = tuple(RigDay(f"r{number}", (800,), TimeWindow(8 * HOUR, 17 * HOUR)) for number in range(40))

    found = plan(Problem((roads(501),), rigs, stops), rounds=20)
    assert found.feasible


def test_order_pins_and_locked_runs_stay() -> None:
    problem = twelve()
    first = plan(problem)
    locked = first.routes[0]
    later = next(stop for stop in problem.stops if stop.key in first.routes[1].keys and not stop.leaves_shop)
    other = next(key for key in first.routes[1].keys if key != later.key)
    pinned = replace(
        problem,
        stops=tuple(replace(stop, follows=other) if stop.key == later.key else stop for stop in problem.stops),
    )

    found = plan(pinned, locked=[locked], rounds=200)

    assert locked in found.routes
    keys = [key for route in found.routes if route.rig != locked.rig for key in route.keys]
    assert later.key not in keys or keys.index(other) < keys.index(later.key)


def test_what_counts_as_a_change() -> None:
    old = (Route("north", (("a", "b", "c"),)), Route("south", (("d",),)))

    assert count_changes(old, old) == 0
    assert count_changes(old, (Route("north", (("a", "c"),)), Route("south", (("d",),)))) == 0
    assert count_changes(old, (Route("north", (("a", "new", "b", "c"),)), Route("south", (("d",),)))) == 0
    assert count_changes(old, (Route("north", (("b", "a", "c"),)), Route("south", (("d",),)))) == 3
    assert count_changes(old, (Route("north", (("a", "b"),)), Route("south", (("d", "c"),)))) == 1


def _later(problem: Problem, found: Plan, done: int, **more: object) -> tuple[Problem, tuple[Route, ...]]:
    """The day after each rig has made its first stops and is at the last of them."""
    schedule = {each.route.rig: each for each in check_plan(problem, found.routes).schedules}
    rig_positions, finished = {}, set()
    for key, run in schedule.items():
        trip = run.route.trips[0]
        made = trip[:done]
        finished |= set(made)
        last = next(visit for visit in run.visits if visit.stop == made[-1])
        aboard = [key for key in reversed(trip[done:]) if problem.by_key[key].leaves_shop]
        aboard += [key for key in made if any(problem.by_key[key].takes)]
        rig_positions[key] = RigPosition(problem.by_key[made[-1]].place, last.leaves, aboard=tuple(aboard))
    rest = remaining_problem(problem, found.routes, rig_positions, done=frozenset(finished), **more)  # type: ignore[arg-type] # each test names fields that there are
    return rest.problem, rest.before


def test_the_rest_of_the_day_goes_on_as_planned_when_nothing_happened() -> None:
    problem = twelve()
    found = plan(problem)
    rest, before = _later(problem, found, 1)

    again = plan(rest, before=before, keep=10_000, rounds=200)

    assert again.feasible
    assert count_changes(before, again.routes) == 0


def test_a_no_show_drops_out_and_promises_hold() -> None:
    problem = twelve()
    found = plan(problem)
    schedule = {visit.stop: visit for run in check_plan(problem, found.routes).schedules for visit in run.visits}
    route = found.routes[0]
    promised_stop = route.keys[-1]
    promise = TimeWindow(schedule[promised_stop].starts - 900, schedule[promised_stop].starts + 900)
    rest, before = _later(problem, found, 1, cancelled=frozenset({route.keys[1]}), promised={promised_stop: promise})

    again = plan(rest, before=before, keep=1000, rounds=200)

    visits = {visit.stop: visit for run in check_plan(rest, again.routes).schedules for visit in run.visits}
    assert promise.opens <= visits[promised_stop].starts <= promise.closes
    assert route.keys[1] not in visits


def test_a_broken_down_rig_leaves_its_stops_to_the_other_and_keeps_what_stands_on_it() -> None:
    problem = twelve()
    found = plan(problem)
    out = found.routes[0]
    aboard = tuple(key for key in out.trips[0] if problem.by_key[key].leaves_shop)
    rig_positions = {out.rig: RigPosition(0, 9 * HOUR, aboard=aboard, out=True)}
    rest = remaining_problem(problem, found.routes, rig_positions)

    again = plan(rest.problem, before=rest.before, rounds=200)

    assert [route.rig for route in again.routes] == [found.routes[1].rig]
    codes = {left.stop: left.code for left in again.left_out}
    assert all(codes[key] == "on_another_rig" or codes[key] == "barred" for key in aboard)


def test_what_a_rig_is_on_its_way_to_stays() -> None:
    problem = twelve()
    found = plan(problem)
    route = found.routes[0]
    rig_positions = {route.rig: RigPosition(0, 8 * HOUR, underway=route.keys[:1])}
    rest = remaining_problem(problem, found.routes, rig_positions)

    moved = rest.problem.rig_by_key[route.rig]
    schedule = check_route(problem, Route(route.rig, (route.keys[:1],)))
    assert isinstance(schedule, Schedule)
    assert route.keys[0] not in rest.problem.by_key
    assert moved.start == problem.by_key[route.keys[0]].place
    assert moved.shift.opens >= 8 * HOUR + problem.by_key[route.keys[0]].service


def test_what_a_rig_is_on_its_way_to_without_being_planned_here_is_passed_over() -> None:
    problem = twelve()
    found = plan(problem)
    route = found.routes[0]
    there = {route.rig: RigPosition(0, 8 * HOUR, underway=route.keys[:1])}
    more = {route.rig: RigPosition(0, 8 * HOUR, underway=("planned by nobody", *route.keys[:1]))}

    assert remaining_problem(problem, found.routes, more) == remaining_problem(problem, found.routes, there)
