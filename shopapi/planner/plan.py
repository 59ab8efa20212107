"""Runs the planner with a real clock and a second process."""

import time
from collections.abc import Sequence
from dataclasses import replace

from shopapi.planner.arrival import Spread
from shopapi.planner.problem import Plan, Problem, Route
from shopapi.planner.search_worker import SearchWorker
from shopapi.planner.slack import choose_more_punctual, has_closing_windows, late_stops, tighten_windows
from shopapi.planner.solver import Budget, Progress, Watch, solve

# Share of the time for the plan itself; the rest goes into one that is less often late.
FIRST_SHARE = 0.7


def plan_problem(
    problem: Problem,
    budget: Budget,
    *,
    seed: int = 0,
    before: Sequence[Route] = (),
    locked: Sequence[Route] = (),
    keep: int = 0,
    watch: Watch | None = None,
) -> Plan:
    """The best checked plan within the budget, on two processors. Reads and writes no row.

    Raises:
        Cancelled: `watch` answered False.
    """
    return solve(
        problem,
        budget,
        seed=seed,
        before=before,
        locked=locked,
        keep=keep,
        watch=watch,
        clock=time.monotonic,
        spawn=SearchWorker,
    )


def plan_with_slack(
    problem: Problem,
    budget: Budget,
    spread: Spread,
    *,
    seed: int = 0,
    before: Sequence[Route] = (),
    keep: int = 0,
    watch: Watch | None = None,
) -> Plan:
    """The best plan, or one that costs little more and whose stops are less often late.

    The second search, with the windows of those stops closed earlier, has its share of the budget only where there are
    any.

    Raises:
        Cancelled: `watch` answered False.
    """
    if not has_closing_windows(problem):
        return plan_problem(problem, budget, seed=seed, before=before, keep=keep, watch=watch)
    first, again = _shared(budget)
    plan = plan_problem(problem, first, seed=seed, before=before, keep=keep, watch=_from(watch, 0, FIRST_SHARE))
    late = late_stops(problem, plan.routes, spread)
    if not late:
        return plan
    other = plan_problem(
        tighten_windows(problem, late),
        again,
        seed=seed,
        before=plan.routes,
        keep=keep,
        watch=_from(watch, FIRST_SHARE, 1 - FIRST_SHARE, silent=True),
    )
    return choose_more_punctual(problem, spread, plan, other)


def _shared(budget: Budget) -> tuple[Budget, Budget]:
    if budget.seconds is None:
        return budget, budget
    first = budget.seconds * FIRST_SHARE
    return replace(budget, seconds=first), replace(budget, seconds=budget.seconds - first)


def _from(watch: Watch | None, begun: float, part: float, *, silent: bool = False) -> Watch | None:
    """Progress as a part of the whole. `silent`: without routes, since they belong to another problem."""
    if watch is None:
        return None

    def report(progress: Progress) -> bool:
        routes = None if silent else progress.routes
        return watch(replace(progress, share=begun + part * progress.share, routes=routes))

    return report
