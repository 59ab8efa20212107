"""The check, tested with published routes and deliberately broken plans."""

from dataclasses import replace

import pytest

from shopapi.planner.check import Schedule, Violation, check_plan, check_route
from shopapi.planner.instance import routes_of
from shopapi.planner.loading.deck import Deck, Piece
from shopapi.planner.problem import Break, Costs, Problem, RigDay, Route, StopTask, TimeWindow, TravelMatrix
from tests.planner.routing import BEST_KNOWN, KNOWN_ROUTES, problem

# Three places on a line, ten minutes and 10 km apart: shop 0, then 1, then 2.
LINE = TravelMatrix(
    metres=((0, 10_000, 20_000), (10_000, 0, 10_000), (20_000, 10_000, 0)),
    seconds=((0, 600, 1200), (600, 0, 600), (1200, 600, 0)),
)
RIG = RigDay("truck", (1000, 300), TimeWindow(0, 20_000))


def day(*stops: StopTask, rig: RigDay = RIG) -> Problem:
    return Problem((LINE,), (rig,), stops)


@pytest.mark.parametrize("name", sorted(KNOWN_ROUTES))
def test_published_routes_pass_at_their_published_cost(name: str) -> None:
    result = check_plan(problem(name), routes_of(KNOWN_ROUTES[name]))

    assert (result.cost, result.violations) == (BEST_KNOWN[name]["cost"], ())


@pytest.mark.parametrize("name", ["rcdp5001", "R101.25.8", "R201R0.5", "PR11"])
def test_broken_plans_are_refused(name: str) -> None:
    instance, routes = problem(name), [route for route in routes_of(KNOWN_ROUTES[name]) if route.keys]
    first, second = routes[0], routes[1]
    missing = (Route(first.rig, (first.trips[0][1:], *first.trips[1:])), *routes[1:])
    twice = (Route(first.rig, ((*first.trips[0], second.keys[0]), *first.trips[1:])), *routes[1:])
    heaped = (Route(first.rig, (tuple(key for route in routes for key in route.keys),)),)
    stranger = (*routes, Route("nobody", (("1",),)))

    codes = [
        {violation.code for violation in check_plan(instance, spoilt).violations} for spoilt in (missing, twice, heaped)
    ]

    assert "left_out" in codes[0]
    assert "stop_twice" in codes[1]
    assert codes[2] & {"load", "window", "access", "barred"}
    assert "rig_unknown" in {violation.code for violation in check_plan(instance, stranger).violations}


def test_every_swap_in_a_tight_plan_is_refused_or_dearer() -> None:
    name = "R101.25.8"
    instance, routes = problem(name), routes_of(KNOWN_ROUTES[name])
    for route in routes:
        (trip,) = route.trips
        for at in range(len(trip) - 1):
            swapped = (*trip[:at], trip[at + 1], trip[at], *trip[at + 2 :])
            others = [other for other in routes if other is not route]
            result = check_plan(instance, [*others, Route(route.rig, (swapped,))])
            assert result.violations or result.cost >= BEST_KNOWN[name]["cost"]


@pytest.mark.parametrize(
    ("stop", "rig", "code"),
    [
        (StopTask("a", 1, brings=(1001,)), RIG, "load"),
        (StopTask("a", 1, takes=(0, 301)), RIG, "load"),
        (StopTask("a", 1, needs=frozenset({"winch"})), RIG, "access"),
        (StopTask("a", 1, only_rigs=frozenset({"van"})), RIG, "pinned"),
        (StopTask("a", 1, windows=(TimeWindow(0, 599),)), RIG, "window"),
        (StopTask("a", 1, service=18_801), RIG, "shift"),
        (StopTask("a", 1, release=20_000), RIG, "shift"),
        (StopTask("a", 1, service=1), replace(RIG, longest=1200), "longest"),
        (StopTask("a", 1, follows="b"), RIG, "order"),
        (StopTask("a", 1, takes=(1,), piece=Piece(300, 301)), replace(RIG, deck=Deck(300, 150)), "deck_space"),
        (StopTask("a", 1), replace(RIG, breaks=(Break(100, 500, 1800),), shift=TimeWindow(501, 9000)), "break"),
    ],
)
def test_first_violation_is_named(stop: StopTask, rig: RigDay, code: str) -> None:
    checked = check_route(day(stop, rig=rig), Route("truck", (("a",),)))

    assert isinstance(checked, Violation)
    assert (checked.code, checked.rig) == (code, "truck")


def test_daylight_limits_the_work_not_the_drive_home() -> None:
    stop = StopTask("a", 1, service=600, by_daylight=True)
    light = replace(day(stop), daylight=TimeWindow(0, 1200))
    dark = replace(day(stop), daylight=TimeWindow(0, 1199))

    assert isinstance(check_route(light, Route("truck", (("a",),))), Schedule)
    checked = check_route(dark, Route("truck", (("a",),)))
    assert isinstance(checked, Violation)
    assert (checked.code, checked.facts) == ("daylight", {"ends": 1200, "dark": 1199})


def test_timetable_starts_as_late_as_possible_and_adds_up() -> None:
    stops = (StopTask("a", 1, service=300, windows=(TimeWindow(5000, 6000),)), StopTask("b", 2, service=60))
    problem = replace(day(*stops), costs=Costs(1, 2), loading=120)

    schedule = check_route(problem, Route("truck", (("a", "b"),)))

    assert isinstance(schedule, Schedule)
    # 120 s of loading and 600 s of road before 5,000; then 300 + 600 + 60 + 1,200 to be home.
    assert (schedule.leaves, schedule.home, schedule.metres) == (4280, 7160, 40_000)
    assert [(visit.arrives, visit.starts, visit.leaves) for visit in schedule.visits] == [
        (5000, 5000, 5300),
        (5900, 5900, 5960),
    ]
    assert schedule.cost == 40_000 + 2 * (7160 - 4280)


def test_a_break_is_taken_where_it_costs_least() -> None:
    # Two hours between the stops' windows: the break fits into the waiting and moves nothing.
    stops = (StopTask("a", 1, windows=(TimeWindow(1000, 1000),)), StopTask("b", 2, windows=(TimeWindow(8000, 8000),)))
    rig = replace(RIG, breaks=(Break(2000, 6000, 1800),))

    schedule = check_route(day(*stops, rig=rig), Route("truck", (("a", "b"),)))

    assert isinstance(schedule, Schedule)
    assert (schedule.home, [end - start for start, end in schedule.breaks]) == (9200, [1800])
    assert 2000 <= schedule.breaks[0][0] <= 6000


def test_later_trip_waits_for_its_release_and_the_first_does_not() -> None:
    stops = (StopTask("a", 1, brings=(10,)), StopTask("b", 1, brings=(10,), release=9000))
    together = check_route(day(*stops), Route("truck", (("a", "b"),)))
    apart = check_route(day(*stops), Route("truck", (("a",), ("b",))))

    assert isinstance(together, Schedule)
    assert isinstance(apart, Schedule)
    assert together.visits[0].arrives == 9600
    assert [visit.arrives for visit in apart.visits][1] == 9600
    assert apart.visits[0].leaves < 9000


def test_rig_on_the_road_drops_only_machines_aboard_before_the_shop() -> None:
    stops = (StopTask("aboard", 1, brings=(10,)), StopTask("shop", 2, brings=(10,)))
    problem = day(*stops, rig=replace(RIG, start=2, aboard=("aboard",), shift=TimeWindow(3000, 20_000)))

    assert isinstance(check_route(problem, Route("truck", (("aboard",), ("shop",)))), Schedule)
    wrong = check_route(problem, Route("truck", (("shop", "aboard"),)))
    assert isinstance(wrong, Violation)
    assert (wrong.code, wrong.stop) == ("not_aboard", "shop")
    late = check_route(problem, Route("truck", ((), ("aboard",))))
    assert isinstance(late, Violation)
    assert late.code == "aboard_first"


def test_first_drop_must_stand_last_on_the_deck() -> None:
    rig = replace(RIG, deck=Deck(400, 150))
    piece = Piece(300, 180)
    bring = StopTask("bring", 2, brings=(300,), piece=piece)
    take = StopTask("take", 1, takes=(300,), piece=piece)
    problem = day(bring, take, rig=rig)

    assert isinstance(check_route(problem, Route("truck", (("bring", "take"),))), Schedule)
    blocked = check_route(problem, Route("truck", (("take", "bring"),)))
    assert isinstance(blocked, Violation)
    assert (blocked.code, blocked.facts) == ("deck_order", {"stop": "bring", "behind": "take"})
    # Two lanes side by side, and nothing stands in the way of anything.
    wide = day(bring, take, rig=replace(RIG, deck=Deck(400, 300, lanes=2)))
    assert isinstance(check_route(wide, Route("truck", (("take", "bring"),))), Schedule)
