"""The planner with a clock and a second processor: what the rules leave to whoever runs them."""

import time
from collections.abc import Sequence

from shopapi.dispatch.rules.problem import Plan, Problem, Route
from shopapi.dispatch.rules.solve import Budget, Watch, make_plan
from shopapi.dispatch.services.partner import Partner


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
    return make_plan(
        problem,
        budget,
        seed=seed,
        before=before,
        locked=locked,
        keep=keep,
        watch=watch,
        clock=time.monotonic,
        hire=Partner,
    )
