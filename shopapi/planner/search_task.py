"""The task of one of two searches that exchange their best solutions.

The clock and the other search are parameters: this file knows neither processes nor time.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from shopapi.planner.problem import Problem, Route
from shopapi.planner.pyvrp_model import PyvrpModel
from shopapi.planner.search import Search, Settings

# When the two exchange their best solutions, as shares of their time.
EXCHANGES = (0.35, 0.6, 0.8, 0.92)
# The largest share of the time for finding a first solution.
SOME_ANSWER = 0.3
# From this share of the time on, an overfull day may leave required stops out, at a high price.
BEND_FROM = 0.5


# A monotonic clock in seconds, shared by both searches.
Clock = Callable[[], float]


@dataclass(frozen=True)
class SearchTask:
    """The task of one search and its limit: a time of the given clock, or `rounds`."""

    problem: Problem
    settings: Settings
    seed: int
    began: float
    until: float | None
    rounds: int | None
    forbidden: frozenset[tuple[str, str]] = frozenset()
    start: tuple[Route, ...] = ()
    # A single search ends after so many rounds without improvement.
    idle: int | None = None

    def over_at(self, share: float, clock: Clock) -> Callable[[int], bool]:
        """Whether this share of the task's time is used up, asked with the rounds so far."""
        if self.until is None:
            last = int((self.rounds or 0) * share)
            return lambda rounds: rounds >= last
        moment = self.began + (self.until - self.began) * share
        return lambda _rounds: clock() >= moment


@dataclass(frozen=True)
class Incumbent:
    """The best solution of a search, and whether it is feasible."""

    cost: float
    routes: tuple[Route, ...]


Exchange = Callable[[Incumbent], Incumbent | None]
OnRound = Callable[[Search], None]


def _is_idle(task: SearchTask, search: Search) -> bool:
    return task.idle is not None and search.rounds - search.improved > task.idle


def _without_some_stops(task: SearchTask) -> Search:
    """A search that has only begun, and may leave stops out: on an overfull day it has an answer at once."""
    model = PyvrpModel(task.problem, forbidden=task.forbidden, allow_missing=True)
    return Search(model, task.settings, task.seed, start=model.solution(task.start) if task.start else None)


class RemoteSearch(Protocol):
    """A second search that runs elsewhere."""

    def exchange(self, mine: Incumbent) -> Incumbent | None:
        """Send our best solution and receive its; None once it has ended."""

    def end(self) -> None:
        """Stop it at once."""


def run_task(task: SearchTask, clock: Clock, exchange: Exchange, tell: OnRound | None = None) -> Search:
    """Run the task; each exchange sends the best solution and adopts the answer if it is better."""
    model = PyvrpModel(task.problem, forbidden=task.forbidden)
    search = Search(model, task.settings, task.seed, start=model.solution(task.start) if task.start else None)
    if tell is not None:
        tell(search if search.best.is_feasible() else _without_some_stops(task))
    some = task.over_at(SOME_ANSWER, clock)
    search.run(lambda rounds: search.best.is_feasible() or some(rounds), tell)
    search.set_first_penalties()
    for share in (*EXCHANGES, 1.0):
        over = task.over_at(share, clock)
        search.run(lambda rounds, over=over, search=search: over(rounds) or _is_idle(task, search), tell)  # type: ignore[misc] # mypy does not infer lambdas with defaults
        theirs = exchange(Incumbent(search.cost, search.model.routes(search.best)))
        if theirs is not None and theirs.cost < search.cost:
            search.adopt(search.model.solution(theirs.routes))
        nobody = search.cost == float("inf") and (theirs is None or theirs.cost == float("inf"))
        if nobody:
            search.raise_penalties()
        if nobody and share >= BEND_FROM and not search.model.allow_missing:
            bent = PyvrpModel(task.problem, forbidden=task.forbidden, allow_missing=True)
            start = bent.solution(search.model.routes(search.best))
            search = Search(bent, task.settings, task.seed, start=start, rounds=search.rounds)
    return search
