"""The planner: from a problem to a checked plan.

Small days are solved to optimality. For others two searches run on two processors, one here and one in a helper
process (the engine holds Python's lock, so threads gain nothing), and exchange their best solutions four times. Rules
that the search does not know are then repaired, fed back as forbidden roads, and searched again. The same problem,
seed and number of rounds give the same plan; with a limit in seconds the whole run, its check and its reasons
included, keeps to it.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from shopapi.planner.check import Schedule, check_plan, check_route
from shopapi.planner.exact import MAX_STOPS, solve_exact
from shopapi.planner.problem import Plan, Problem, RigDay, Route, StopTask
from shopapi.planner.repair import Deadline, RepairResult, explain_left_out, no_deadline, repair
from shopapi.planner.search import Search, Settings
from shopapi.planner.search_task import Clock, Incumbent, RemoteSearch, SearchTask, run_task

# Below this a helper process costs more time than it brings.
ALONE_STOPS = 25
ALONE_SECONDS = 1.5
HERE = Settings(neighbours=30, perturbations=8, warp=20, load=0.3)
# The second search differs: larger steps on a simple day; greedier where rounds are slow (several trips, many stops).
BOLDER = Settings(neighbours=30, perturbations=25, warp=20, load=0.3)
GREEDIER = Settings(neighbours=40, perturbations=8, warp=50, load=1, history=100)
MANY_STOPS = 120
# Shares of the time per pass, for days where the check may feed something back.
PASSES = (0.5, 0.3, 0.2)
# The steps after the search check every stop several times, so they take so many times as long as the first check of
# all stops did; but never more than this share of the time.
AFTERWARDS, AFTERWARDS_SHARE = 4, 0.15
# The exact search of a small day is stopped after this share of the time.
EXACT_SHARE = 0.8
WATCH_EVERY = 0.2
# A small day is finished after so many rounds without improvement: some seconds.
IDLE = 20_000


@dataclass(frozen=True)
class Budget:
    """Limit of the search: `seconds` in use, `rounds` where the result must be reproducible."""

    seconds: float | None = None
    rounds: int | None = None


@dataclass(frozen=True)
class Progress:
    """Progress: the share of the time used, and the best routes so far (None: none is feasible yet)."""

    share: float
    cost: float | None
    routes: tuple[Route, ...] | None


Watch = Callable[[Progress], bool]
Spawn = Callable[[SearchTask], RemoteSearch]


class Cancelled(Exception):
    """The caller cancelled the search."""


def solve(
    problem: Problem,
    budget: Budget,
    *,
    seed: int = 0,
    before: Sequence[Route] = (),
    locked: Sequence[Route] = (),
    keep: int = 0,
    watch: Watch | None = None,
    clock: Clock,
    spawn: Spawn | None = None,
) -> Plan:
    """The best plan found in the budget, checked. `before`: the current plan, to start from. `watch` may cancel.

    `locked`: routes that stay as they are, stops and rig. `keep`: what a stop that changes its rig, or the stop before
    it, against `before` counts in units of cost; a cheaper plan is taken only when it saves more than its changes.
    `spawn` starts a second search somewhere; without it one searches alone.

    A stop that cannot be held is left out with its reason, a required one too: then `feasible` is False.

    Raises:
        Cancelled: `watch` said so.
    """
    limit = _TimeLimit(clock, budget.seconds)
    locked = tuple(route for route in locked if route.rig in problem.rig_by_key)
    able, impossible = _drop_impossible_stops(_without_locked(problem, locked))
    limit.measure_first_look()
    if not able.stops or not able.rigs:
        return _checked_plan(problem, (), locked, limit, proven=not problem.stops)
    if len(able.stops) <= MAX_STOPS and not (keep and before):
        exact = solve_exact(able, limit.over_at(EXACT_SHARE))
        if exact is not None:
            result = check_plan(able, exact)
            if result.feasible and result.cost == _relaxed_cost(able, exact):
                return _checked_plan(problem, exact, locked, limit, proven=not impossible and not locked)
    known = _still_known_routes(able, before)
    routes = _SearchPasses(able, budget, seed, watch, clock=clock, spawn=spawn, limit=limit).plan(known, keep)
    return _checked_plan(problem, routes, locked, limit)


class _TimeLimit:
    """Deadlines of searching, repairing and explaining; none without a limit in seconds."""

    def __init__(self, clock: Clock, seconds: float | None) -> None:
        self.clock = clock
        self.seconds = seconds
        self.began = clock()
        self.afterwards = 0.0

    def measure_first_look(self) -> None:
        """Estimate from the first check of every stop, which has just ended, how long the last steps will take."""
        if self.seconds is not None:
            self.afterwards = min(AFTERWARDS_SHARE, AFTERWARDS * (self.clock() - self.began) / self.seconds)

    @property
    def search_ends(self) -> float | None:
        return None if self.seconds is None else self.began + self.seconds * (1 - self.afterwards)

    @property
    def repair_deadline(self) -> Deadline:
        return self.over_at(1 - self.afterwards / 2)

    @property
    def reasons_deadline(self) -> Deadline:
        # The last of it is for what cannot be left away.
        return self.over_at(1 - self.afterwards / 8)

    def over_at(self, share: float) -> Deadline:
        """Whether this share of the time is used up."""
        if self.seconds is None:
            return no_deadline
        moment = self.began + self.seconds * share
        return lambda: self.clock() >= moment


class _SearchPasses:
    """Passes of search, repair and feedback."""

    def __init__(
        self,
        able: Problem,
        budget: Budget,
        seed: int,
        watch: Watch | None,
        *,
        clock: Clock,
        spawn: Spawn | None,
        limit: _TimeLimit,
    ) -> None:
        self.able = able
        self.budget = budget
        self.seed = seed
        self.watch = watch
        self.clock = clock
        self.spawn = spawn
        self.limit = limit
        # The share of the whole that earlier passes took.
        self.over = 0.0
        self.before: tuple[Route, ...] = ()
        self.worth = 0
        # (required stops that are missing, cost, routes): the least is the best.
        self.found: list[tuple[int, int, tuple[Route, ...]]] = []

    def plan(self, before: tuple[Route, ...], keep: int) -> tuple[Route, ...]:
        """The best routes found, from `before` on where there is one."""
        self.before, self.worth = before, keep
        start = before
        if start:
            self._add_candidate(repair(self.able, start, self.limit.repair_deadline))
        forbidden: frozenset[tuple[str, str]] = frozenset()
        passes = PASSES if _beyond_engine(self.able) else (1.0,)
        for number in range(len(passes)):
            self.over = sum(passes[:number])
            found = self._search(self._task(number, passes, forbidden, start), passes[number])
            repaired = repair(self.able, found, self.limit.repair_deadline)
            self._add_candidate(repaired)
            if not repaired.changed:
                break
            forbidden |= _forbidden_after_repair(self.able, repaired)
            start = self._best()
        return self._best()

    def _task(
        self, number: int, passes: Sequence[float], forbidden: frozenset[tuple[str, str]], start: tuple[Route, ...]
    ) -> SearchTask:
        now = self.clock()
        until = rounds = None
        if self.limit.search_ends is not None:
            left = max(0.05, self.limit.search_ends - now)
            until = now + left * passes[number] / sum(passes[number:])
        if self.budget.rounds is not None:
            rounds = max(1, int(self.budget.rounds * passes[number]))
        return SearchTask(self.able, HERE, self.seed + number, now, until, rounds, forbidden, start)

    def _search(self, task: SearchTask, part: float) -> tuple[Route, ...]:
        short = task.until is not None and task.until - task.began < ALONE_SECONDS
        remote = None
        if self.spawn is not None and not short and len(self.able.stops) >= ALONE_STOPS:
            remote = self.spawn(replace(task, settings=_second_settings(self.able), seed=task.seed + 1_000_003))
        if remote is None and len(self.able.stops) < ALONE_STOPS:
            task = replace(task, idle=IDLE)

        def exchange(mine: Incumbent) -> Incumbent | None:
            return None if remote is None else remote.exchange(mine)

        try:
            tell = None if self.watch is None else _ProgressTeller(task, self.watch, self.clock, self.over, part)
            found = run_task(task, self.clock, exchange, tell)
        finally:
            if remote is not None:
                remote.end()
        return found.model.routes(found.best)

    def _add_candidate(self, repaired: RepairResult) -> None:
        missing = sum(self.able.by_key[key].required for key in repaired.out)
        cost = check_plan(self.able, repaired.routes).cost
        if self.worth and self.before:
            cost += self.worth * count_changes(self.before, repaired.routes)
        self.found.append((missing, cost, repaired.routes))

    def _best(self) -> tuple[Route, ...]:
        return min(self.found, key=lambda one: one[:2])[2]


def _second_settings(problem: Problem) -> Settings:
    dear = len(problem.stops) > MANY_STOPS or any(rig.reload for rig in problem.rigs)
    return GREEDIER if dear else BOLDER


class _ProgressTeller:
    """Reports overall progress from inside the search, at limited frequency."""

    def __init__(self, task: SearchTask, watch: Watch, clock: Clock, over: float, part: float) -> None:
        self.over = over
        self.part = part
        self.task = task
        self.clock = clock
        self.watch = watch
        self.last = float("-inf")

    def __call__(self, search: Search) -> None:
        now = self.clock()
        if now - self.last < WATCH_EVERY:
            return
        self.last = now
        if self.task.until is None:
            share = search.rounds / max(1, self.task.rounds or 1)
        else:
            share = (now - self.task.began) / max(1e-9, self.task.until - self.task.began)
        holds = search.cost != float("inf")
        routes = search.model.routes(search.best) if holds else None
        if not self.watch(Progress(self.over + self.part * min(1.0, share), search.cost if holds else None, routes)):
            raise Cancelled


def _drop_impossible_stops(problem: Problem) -> tuple[Problem, tuple[str, ...]]:
    """The problem without the stops that no rig can serve even alone, and rigs barred from what they cannot."""
    # Machines on a deck now may be unloaded before this stop's turn, so the deck is not checked for it alone.
    loose = replace(
        problem,
        stops=tuple(replace(stop, follows=None) for stop in problem.stops),
        rigs=tuple(rig if rig.start is None else replace(rig, deck=None) for rig in problem.rigs),
    )
    able: set[str] = set()
    rigs = []
    known: dict[RigDay, frozenset[str]] = {}
    pins = any(stop.only_rigs is not None for stop in problem.stops)
    for rig in problem.rigs:
        alike = rig if pins or rig.start is not None else replace(rig, key="")
        cannot = known.get(alike)
        if cannot is None:
            cannot = known[alike] = frozenset(
                stop.key
                for stop in loose.stops
                if not any(isinstance(check_route(loose, route), Schedule) for route in _routes_alone(rig, stop))
            )
        able |= {stop.key for stop in problem.stops} - cannot
        rigs.append(replace(rig, barred=rig.barred | cannot))
    impossible = tuple(stop.key for stop in problem.stops if stop.key not in able)
    stops = tuple(stop for stop in problem.stops if stop.key in able)
    # A stop that follows an impossible one is impossible too.
    while orphans := {one.key for one in stops if one.follows and one.follows not in {two.key for two in stops}}:
        stops = tuple(stop for stop in stops if stop.key not in orphans)
        impossible += tuple(sorted(orphans))
    return replace(problem, stops=stops, rigs=tuple(rigs)), impossible


def _routes_alone(rig: RigDay, stop: StopTask) -> Iterator[Route]:
    """The routes with only one stop; a rig on the road may first have to bring home what it carries."""
    if rig.start is None or stop.key in rig.aboard or not stop.leaves_shop:
        yield Route(rig.key, ((stop.key,),))
    if rig.start is not None and stop.key not in rig.aboard:
        yield Route(rig.key, ((), (stop.key,)))


def count_changes(before: Sequence[Route], after: Sequence[Route]) -> int:
    """How many stops have another rig, or another stop before them, than they had; new and dropped ones aside."""
    was, now = _predecessors(before), _predecessors(after)
    gone = was.keys() - now.keys()
    changed = 0
    for key in was.keys() & now.keys():
        rig, earlier = was[key]
        # A stop whose forerunner was dropped keeps its place when it follows the one before that.
        while earlier in gone:
            earlier = was[earlier][1]
        fresh_rig, fresh = now[key]
        while fresh and fresh not in was:
            fresh = now[fresh][1]
        changed += (rig, earlier) != (fresh_rig, fresh)
    return changed


def _predecessors(routes: Sequence[Route]) -> dict[str, tuple[str, str]]:
    found = {}
    for route in routes:
        earlier = ""
        for key in route.keys:
            found[key] = (route.rig, earlier)
            earlier = key
    return found


def _without_locked(problem: Problem, locked: Sequence[Route]) -> Problem:
    if not locked:
        return problem
    rigs, keys = {route.rig for route in locked}, {key for route in locked for key in route.keys}
    return replace(
        problem,
        rigs=tuple(rig for rig in problem.rigs if rig.key not in rigs),
        stops=tuple(stop for stop in problem.stops if stop.key not in keys),
    )


def _beyond_engine(problem: Problem) -> bool:
    return any(rig.deck or rig.breaks or rig.straps is not None for rig in problem.rigs) or any(
        stop.follows for stop in problem.stops
    )


def _relaxed_cost(problem: Problem, routes: Sequence[Route]) -> int:
    """Cost of the routes without breaks, decks and order: the objective of the exact search."""
    bare = replace(
        problem,
        rigs=tuple(replace(rig, breaks=(), deck=None, trailer=None, straps=None) for rig in problem.rigs),
        stops=tuple(replace(stop, follows=None) for stop in problem.stops),
    )
    return check_plan(bare, routes).cost


def _forbidden_after_repair(problem: Problem, repaired: RepairResult) -> frozenset[tuple[str, str]]:
    """Roads forbidden in the next search: from a blocking machine to every later drop that it would block."""
    pairs = set(repaired.blocked)
    drops = [stop.key for stop in problem.stops if stop.leaves_shop]
    for behind, _ in repaired.blocked:
        if not problem.by_key[behind].leaves_shop:
            pairs |= {(behind, drop) for drop in drops if drop != behind}
    return frozenset(pairs)


def _still_known_routes(problem: Problem, routes: Sequence[Route]) -> tuple[Route, ...]:
    """Routes of an older plan, as far as rigs and stops still exist."""
    return tuple(
        Route(route.rig, tuple(tuple(key for key in trip if key in problem.by_key) for trip in route.trips))
        for route in routes
        if route.rig in problem.rig_by_key
    )


def _checked_plan(
    problem: Problem, found: tuple[Route, ...], locked: tuple[Route, ...], limit: _TimeLimit, *, proven: bool = False
) -> Plan:
    routes = (*found, *locked)
    result = check_plan(problem, routes)
    kept = frozenset(route.rig for route in locked)
    left = explain_left_out(problem, routes, result.left_out, limit.reasons_deadline, locked=kept)
    return Plan(routes, result.cost, result.feasible, proven, left)
