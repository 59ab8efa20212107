"""The search around the engine's local search: late acceptance with well-chosen first penalties.

PyVRP's own loop begins with penalties of 50,000 a unit and needs tens of thousands of rounds to come down to the
handful that serves it; at our scale (seconds, not minutes) that is the whole budget. Small perturbations and a
first penalty in proportion to the problem come down within a second; after that the search removes a patch of the map
from its best solution and plans it again. The figures are in `shopapi/decisions/planner.md`.
"""

import warnings
from collections.abc import Callable
from dataclasses import dataclass

from pyvrp import CostEvaluator, PenaltyManager, PenaltyParams, RandomNumberGenerator, Solution
from pyvrp.exceptions import PenaltyBoundWarning
from pyvrp.search import (
    OPERATORS,
    LocalSearch,
    NeighbourhoodParams,
    PerturbationManager,
    PerturbationParams,
    compute_neighbours,
)

from shopapi.planner.pyvrp_model import PyvrpModel, scale_of

# A patch has so many stops, and no more than this share of all.
PATCH_STOPS, PATCH_SHARE = 30, 0.3
# Rounds between two calls of `tell`, so that a search that finds nothing can be cancelled.
TELL_EVERY = 50


@dataclass(frozen=True)
class Settings:
    """Settings of one search. `warp` and `load` are the first penalties, in units of `scale_of`.

    `patience`: after so many rounds without anything better, a patch is planned again.
    """

    neighbours: int = 30
    perturbations: int = 8
    warp: float = 20
    load: float = 0.3
    history: int = 300
    patience: int = 3000


class Search:
    """One search on one processor. `run` may be called again and continues."""

    def __init__(
        self, model: PyvrpModel, settings: Settings, seed: int, *, start: Solution | None = None, rounds: int = 0
    ) -> None:
        self.model = model
        data = model.data
        self.rng = RandomNumberGenerator(seed=seed)
        neighbours = compute_neighbours(data, NeighbourhoodParams(num_neighbours=settings.neighbours))
        perturbation = PerturbationManager(PerturbationParams(1, settings.perturbations))
        self.local = LocalSearch(data, self.rng, neighbours, perturbation)
        for operator in OPERATORS:
            if operator.supports(data):
                self.local.add_operator(operator(data))
        self.settings = settings
        self.penalties = PenaltyManager(PenaltyParams().midpoint_penalties(data), PenaltyParams())
        self.history: list[Solution] = []
        self.length = settings.history
        self.rounds, self.turn = rounds, 0
        # The round that found the best answer so far.
        self.improved = rounds
        # The least cost since the last patch, and the round that found it.
        self.lowest, self.lowered = float("inf"), rounds
        if start is None:
            start = Solution.make_random(data, self.rng)
        self.best = self.current = self.first = self.local(start, self.penalties.max_cost_evaluator(), exhaustive=True)

    @property
    def cost(self) -> float:
        """Cost of the best solution; infinite while none is feasible for the engine."""
        if not self.best.is_feasible():
            return float("inf")
        return float(self.penalties.cost_evaluator().cost(self.best))

    def adopt(self, solution: Solution) -> None:
        """Continue from another search's better solution; without one of its own, only store it as the best."""
        if self.best.is_feasible():
            self._restart_from(solution)
        self.best = solution

    def set_first_penalties(self) -> None:
        """Switch from prohibitive penalties, which find a first solution, to those of the settings."""
        loads, second = scale_of(self.model.problem)
        first = ([self.settings.load * each for each in loads], self.settings.warp * second, 1.0)
        self.penalties = PenaltyManager(first, PenaltyParams())

    def raise_penalties(self) -> None:
        """Multiply the penalties by ten: no feasible solution was found yet."""
        loads, warp, far = self.penalties.penalties()
        self.penalties = PenaltyManager(([10 * each for each in loads], 10 * warp, far), PenaltyParams())

    def run(self, over: Callable[[int], bool], tell: Callable[["Search"], None] | None = None) -> None:
        """Search until `over(rounds so far)`. `tell` is called at each new best, and now and then without one."""
        with warnings.catch_warnings():
            # PyVRP also warns about tight days with a solution; the check decides.
            warnings.simplefilter("ignore", PenaltyBoundWarning)
            while not over(self.rounds):
                if (self._round() or self.rounds % TELL_EVERY == 0) and tell is not None:
                    tell(self)

    def _round(self) -> bool:
        """One step; whether it found a new best."""
        judge = self.penalties.cost_evaluator()
        tried = self.local(self.current, judge, exhaustive=False)
        self.penalties.register(tried)
        better = judge.cost(tried) < judge.cost(self.best)
        if better:
            self.improved = self.rounds
            self.best = tried
            thorough = self.local(tried, judge, exhaustive=True)
            if thorough.is_feasible():
                self.best = tried = thorough
        self._accept(tried, judge)
        self.rounds += 1
        cost = judge.cost(self.current)
        if cost < self.lowest:
            self.lowest, self.lowered = cost, self.rounds
        if self.rounds - self.lowered > self.settings.patience and self.best.is_feasible():
            clients = self.model.data.num_clients
            size = min(PATCH_STOPS, max(2, round(PATCH_SHARE * clients)))
            holed = self.model.remove_patch(self.best, self.rng.randint(clients), size)
            self._restart_from(self.local(holed, judge, exhaustive=False))
        return bool(better)

    def _restart_from(self, solution: Solution) -> None:
        self.current = self.first = solution
        self.history.clear()
        self.turn = 0
        self.lowest, self.lowered = float("inf"), self.rounds

    def _accept(self, tried: Solution, judge: CostEvaluator) -> None:
        """Late acceptance: at least as good as the current solution, or as the one `length` rounds ago."""
        at = self.turn % self.length
        self.turn += 1
        late = self.history[at] if at < len(self.history) else self.first
        cost, late_cost = judge.penalised_cost(tried), judge.penalised_cost(late)
        if cost < late_cost or cost < judge.penalised_cost(self.current):
            self.current = tried
        if at >= len(self.history):
            self.history.append(self.current)
        elif judge.penalised_cost(self.current) < late_cost:
            self.history[at] = self.current
