"""Slack: prefers a plan that reaches each stop in time with a probability of 80 %, where that costs little.

The search itself plans without uncertainty. Its result is evaluated with the spread of drives and work; windows of
stops that are too often late are closed earlier, and the day is searched again.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from shopapi.planner.arrival import Spread, reliable_start, stops_at_risk
from shopapi.planner.check import Schedule, check_plan, check_route
from shopapi.planner.problem import Plan, Problem, Route, StopTask, TimeWindow

# The most that one less late stop may cost, in seconds under way.
WORTH_SECONDS = 15 * 60


def has_closing_windows(problem: Problem) -> bool:
    """Whether some stop's window closes while a rig is out; otherwise no stop can be late."""
    ends = {window.closes for stop in problem.stops for window in stop.windows}
    return any(rig.shift.opens <= closes < rig.shift.closes for rig in problem.rigs for closes in ends)


def late_stops(problem: Problem, routes: Sequence[Route], spread: Spread) -> dict[str, float]:
    """The stops that are too often late whatever the start, with the seconds by which they should be earlier."""
    found: dict[str, float] = {}
    for route in routes:
        checked = check_route(problem, route) if route.keys else None
        if isinstance(checked, Schedule):
            found |= stops_at_risk(problem, *reliable_start(problem, checked, spread))
    return found


def tighten_windows(problem: Problem, early: Mapping[str, float]) -> Problem:
    """The problem with the windows of these stops closed so many seconds earlier, but never before they open."""
    stops = tuple(_closed(stop, early[stop.key]) if stop.key in early else stop for stop in problem.stops)
    return replace(problem, stops=stops)


def _closed(stop: StopTask, earlier: float) -> StopTask:
    windows = tuple(TimeWindow(one.opens, max(one.opens, one.closes - round(earlier))) for one in stop.windows)
    return replace(stop, windows=windows)


def choose_more_punctual(problem: Problem, spread: Spread, plan: Plan, other: Plan) -> Plan:
    """The other plan if fewer of its stops are late, no more are left out and it costs little more; else the first.

    Its left-out stops must be the same, since their reasons come from the tightened problem.
    """
    left = {one.stop for one in plan.left_out}
    if {one.stop for one in other.left_out} != left:
        return plan
    saved = len(late_stops(problem, plan.routes, spread)) - len(late_stops(problem, other.routes, spread))
    cost = check_plan(problem, other.routes).cost
    if saved <= 0 or cost - plan.cost > saved * WORTH_SECONDS * max(1, problem.costs.second):
        return plan
    return replace(other, cost=cost, proven=plan.proven and cost == plan.cost, left_out=plan.left_out)
