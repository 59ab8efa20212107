"""`benchmark dispatch`: the planner on published instances, on random days of growing size, and on a typical day.

Each ratio compares with plain PyVRP on the same problem with the same seconds, processors (two runs with two seeds,
the better one counts) and seed, in the same run. Machines are noisy: compare within one run.
"""

import json
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from multiprocessing import get_context
from pathlib import Path
from random import Random
from statistics import fmean, median
from warnings import catch_warnings, simplefilter

import pyvrp
from pyvrp.stop import MaxRuntime

from shopapi.benchmarks.recorder import Recorder
from shopapi.planner.check import check_plan
from shopapi.planner.geodesics import Position
from shopapi.planner.instance import read_instance
from shopapi.planner.loading.deck import Deck, Piece
from shopapi.planner.plan import plan_problem
from shopapi.planner.problem import Break, Costs, Problem, RigDay, Route, StopTask, TimeWindow, TravelMatrix
from shopapi.planner.pyvrp_model import PyvrpModel
from shopapi.planner.solver import Budget, Progress
from shopapi.planner.travel import NamedPosition, TravelProfile, estimate_matrix

ROUTING = Path(__file__).resolve().parents[2] / "fixtures" / "routing"
# Up to this many stops an instance gets half the time.
SHORT = 50
HOUR = 3600
GROWTH = (10, 25, 50, 100, 200, 500)


def measure_planner(figures: Recorder, seconds: float, repeats: int, grow: Sequence[int]) -> None:
    """Run all parts. Instances of up to 50 stops get half of `seconds`."""
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as pool:
        _instances(figures, pool, seconds, repeats)
        _growth(figures, pool, seconds, grow)
    _typical_day(figures, max(5, repeats))


def _instances(figures: Recorder, pool: ProcessPoolExecutor, seconds: float, repeats: int) -> None:
    best_known = json.loads((ROUTING / "bks.json").read_text(encoding="utf-8"))
    means: dict[str, list[float]] = {"gap": [], "plain_gap": []}
    for name in sorted(best_known, key=lambda name: (best_known[name]["n"], name)):
        problem = read_instance(json.loads((ROUTING / f"{name}.json").read_text(encoding="utf-8")))
        limit = seconds / 2 if len(problem.stops) <= SHORT else seconds
        took: list[float] = []
        costs: dict[str, list[int]] = {"gap": [], "plain_gap": []}
        for seed in range(repeats):
            begun = time.perf_counter()
            plan = plan_problem(problem, Budget(seconds=limit), seed=seed)
            took.append(time.perf_counter() - begun)
            # The gap of a plan without a required stop means nothing.
            costs["gap"] += [plan.cost] if plan.feasible else []
            costs["plain_gap"] += plain(pool, problem, limit, seed)
        figures.add(f"{name}.seconds", took, "s")
        if costs["gap"]:
            figures.add(f"{name}.cost", costs["gap"], "units")
        for kind, found in costs.items():
            if len(found) < repeats:
                figures.add(f"{name}.{kind}_missing", [repeats - len(found)], "runs")
            if found:
                gaps = [100 * (cost / best_known[name]["cost"] - 1) for cost in found]
                figures.add(f"{name}.{kind}", gaps, "%")
                means[kind].append(median(gaps))
        if all(costs.values()):
            figures.ratio(f"{name}.ratio", median(costs["gap"]) / median(costs["plain_gap"]))
    for kind, gaps in means.items():
        figures.add(f"mean.{kind}", [fmean(gaps)], f"% over {len(gaps)} instances")
    figures.ratio("mean.ratio", (100 + fmean(means["gap"])) / (100 + fmean(means["plain_gap"])))


def plain(pool: ProcessPoolExecutor, problem: Problem, seconds: float, seed: int) -> list[int]:
    """Plain PyVRP on two processors: the cost of the better run, None if neither is feasible."""
    runs = [pool.submit(_plain, problem, seconds, each) for each in (seed, seed + 1_000_003)]
    costs = []
    for run in runs:
        result = check_plan(problem, run.result())
        if result.feasible:
            costs.append(result.cost)
    return [min(costs)] if costs else []


def _plain(problem: Problem, seconds: float, seed: int) -> tuple[Route, ...]:
    model = PyvrpModel(problem)
    with catch_warnings():
        simplefilter("ignore")
        result = pyvrp.solve(model.data, MaxRuntime(seconds), seed=seed, collect_stats=False)
    return model.routes(result.best)


def _growth(figures: Recorder, pool: ProcessPoolExecutor, seconds: float, grow: Sequence[int]) -> None:
    for size in grow:
        problem = drawn_day(size)
        first: list[float] = []
        begun = time.perf_counter()
        plan = plan_problem(problem, Budget(seconds=seconds), watch=_first(first, begun))
        took = time.perf_counter() - begun
        figures.add(f"grow_{size}.roads", [_estimate_roads(size)], "s")
        figures.add(f"grow_{size}.first", first[:1] or [took], "s")
        figures.add(f"grow_{size}.seconds", [took], "s")
        figures.add(f"grow_{size}.left_out", [len(plan.left_out)], "stops")
        cost = plain(pool, problem, seconds, 0)
        if cost and plan.feasible:
            figures.ratio(f"grow_{size}.ratio", plan.cost / cost[0])


def _estimate_roads(size: int) -> float:
    """The seconds for the road tables of so many places, with a trailer and without: a plan begins with them."""
    chance = Random(size)  # noqa: S311 - a drawn map, no secret
    points = [Position(40 + chance.gauss(0, 0.1), -98 + chance.gauss(0, 0.1)) for _ in range(size + 1)]
    places = [NamedPosition(str(number), position) for number, position in enumerate(points)]
    begun = time.perf_counter()
    for trailer in (True, False):
        estimate_matrix(TravelProfile(), places, trailer=trailer)
    return time.perf_counter() - begun


def _first(first: list[float], begun: float) -> Callable[[Progress], bool]:
    def watch(progress: Progress) -> bool:
        if progress.routes is not None and not first:
            first.append(time.perf_counter() - begun)
        return True

    return watch


def drawn_day(size: int, seed: int = 1) -> Problem:
    """Returns, pickups and visits around a town, one rig for about six of them, with windows, releases and reloads."""
    chance = Random(seed)  # noqa: S311 - a drawn day, no secret
    points = [(0.0, 0.0), *((chance.gauss(0, 9), chance.gauss(0, 9)) for _ in range(size))]
    metres = tuple(
        tuple(round(1300 * ((ax - bx) ** 2 + (ay - by) ** 2) ** 0.5) for bx, by in points) for ax, ay in points
    )
    roads = TravelMatrix(metres, tuple(tuple(round(far * 0.08) for far in row) for row in metres))
    stops = []
    for number in range(1, size + 1):
        kind = chance.choice(("return", "pickup", "visit"))
        load = (chance.randint(120, 400), chance.randint(150, 220), 1)
        opens = chance.choice((8, 8, 10, 12)) * HOUR
        stops.append(
            StopTask(
                str(number),
                number,
                brings=load if kind == "return" else (),
                takes=load if kind == "pickup" else (),
                windows=(TimeWindow(opens, opens + 4 * HOUR),),
                service=chance.choice((1800, 2700) if kind == "visit" else (900, 1200)),
                release=10 * HOUR if kind == "return" and chance.random() < 0.2 else 0,
                required=chance.random() < 0.8,
                prize=chance.randint(10_000, 40_000),
            )
        )
    rigs = tuple(
        RigDay(f"rig {number}", (900, 450, 2), TimeWindow(8 * HOUR, 17 * HOUR))
        for number in range(max(2, round(size / 6)))
    )
    stops = [replace(stop, prize=0) if stop.required else stop for stop in stops]
    return Problem((roads,), rigs, tuple(stops), costs=Costs(1, 1), loading=300)


def typical_day() -> Problem:
    """Twelve stops, two rigs, with lunch, a deck, a release and windows."""
    problem = drawn_day(12, seed=3)
    lunch = Break(int(11.5 * HOUR), 13 * HOUR, 1800)
    rigs = tuple(replace(rig, breaks=(lunch,), deck=Deck(450, 180, gap_cm=10)) for rig in problem.rigs)
    stops = tuple(
        replace(stop, piece=Piece((stop.brings or stop.takes)[0], 180, 110)) if stop.brings or stop.takes else stop
        for stop in problem.stops
    )
    return replace(problem, rigs=rigs, stops=stops)


def _typical_day(figures: Recorder, repeats: int) -> None:
    firsts, took = [], []
    for seed in range(repeats):
        first: list[float] = []
        begun = time.perf_counter()
        plan_problem(typical_day(), Budget(seconds=2.5), seed=seed, watch=_first(first, begun))
        took.append(time.perf_counter() - begun)
        firsts.append(first[0] if first else took[-1])
    figures.add("typical_day.first", firsts, "s")
    figures.add("typical_day.seconds", took, "s")
