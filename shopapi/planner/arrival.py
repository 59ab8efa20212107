"""Arrival times of a run as distributions, and the latest reliable start.

Drives and work take longer or shorter than planned, and the deviations add up from stop to stop, except that a driver
who is early waits for the window. The distribution of the time is computed along the run on a grid: convolved with
each drive and each work time, and cut where the driver waits. One traffic factor a day is shared by all drives; the
rest of each drive's spread is independent. No random numbers.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from math import erfc, exp, log, sqrt
from statistics import NormalDist
from typing import Any

import numpy as np

from shopapi.planner.check import Schedule, started_at
from shopapi.planner.problem import FOREVER, Problem, RigDay, StopTask

Points = np.ndarray[Any, np.dtype[np.float64]]

NORMAL = NormalDist()
SQRT_2 = sqrt(2)
# The shown interval contains the arrival with a probability of 80 %.
LOW, HIGH = 0.1, 0.9
TENTH = NORMAL.inv_cdf(HIGH)
# Plans aim at this probability of being in time where that costs little.
IN_TIME = 0.8
# Traffic of a day: the standard deviation of the logarithm of a factor shared by all its drives.
TRAFFIC = 0.15
# At most this share of a drive's spread is attributed to the day's traffic.
SHARED = 0.95
# Without data of the shop's own stops: work as long as planned on average, with a standard deviation of 46 %.
USUAL_CV = 0.46
GRID_SECONDS = 60
# Distributions are cut off at so many standard deviations.
FAR = 3.5
NEGLIGIBLE = 1e-7
# The day's traffic is sampled at so many points, in equal steps of its standard deviation.
CASES, LIGHTEST = 13, -2.4


@dataclass(frozen=True)
class WorkSpread:
    """Work at a stop as a share of the planned time: its median, and the standard deviation of its logarithm."""

    median: float
    sigma: float


def work_spread_of_cv(cv: float) -> WorkSpread:
    """Lognormal work whose mean is the planned time, with this coefficient of variation."""
    sigma = sqrt(log(1 + cv * cv))
    return WorkSpread(exp(-sigma * sigma / 2), sigma)


USUAL_WORK = work_spread_of_cv(USUAL_CV)


@dataclass(frozen=True)
class Spread:
    """Deviation of drives and work from the plan.

    `low`, `high`: the 80 % interval of a drive as shares of its estimate. `works`: by stop; others have the default.
    `places`: by stop, the seconds of driving by which its position may be off either way; others are where they are.
    """

    low: float
    high: float
    works: Mapping[str, WorkSpread] = field(default_factory=dict)
    places: Mapping[str, float] = field(default_factory=dict)
    traffic: float = TRAFFIC

    def work(self, key: str) -> WorkSpread:
        return self.works.get(key, USUAL_WORK)


@dataclass(frozen=True)
class Arrival:
    """One stop: the 80 % interval of its arrival, in seconds of the problem's clock.

    `by`: the time by which the driver has arrived with a probability of `IN_TIME`.
    """

    stop: str
    low: float
    high: float
    by: float


@dataclass(frozen=True)
class _Distribution:
    """Distribution of a time: probability `mass[i]` at `begins + i * GRID_SECONDS`."""

    begins: float
    mass: Points

    @property
    def at(self) -> Points:
        return self.begins + GRID_SECONDS * np.arange(len(self.mass), dtype=np.float64)

    def plus(self, seconds: float) -> "_Distribution":
        return _Distribution(self.begins + seconds, self.mass)

    def takes(self, kernel: tuple[float, Points]) -> "_Distribution":
        begins, mass = kernel
        found = np.convolve(self.mass, mass)
        # Negligible tails would make every later sum longer.
        counts = np.flatnonzero(found > NEGLIGIBLE)
        first, last = int(counts[0]), int(counts[-1])
        return _Distribution(self.begins + begins + first * GRID_SECONDS, found[first : last + 1])

    def moved(self, starts: Callable[[Points], Points]) -> "_Distribution":
        """The distribution under a mapping of times; mass between two points of the grid is split between them."""
        at = starts(self.at)
        begins = float(at.min())
        place = (at - begins) / GRID_SECONDS
        below = np.floor(place).astype(int)
        part = place - below
        mass = np.zeros(int(below.max()) + 2)
        np.add.at(mass, below, self.mass * (1 - part))
        np.add.at(mass, below + 1, self.mass * part)
        return _Distribution(begins, mass)


Kernel = tuple[float, Points]


@lru_cache(maxsize=4096)
def _kernel(middle: float, shorter: float, longer: float) -> Kernel:
    """Distribution of seconds with the median `middle`, lognormal with one spread below it and another above."""
    if middle <= 0 or max(shorter, longer) < 1e-6:
        return middle, np.ones(1)
    least, most = middle * exp(-FAR * shorter), middle * exp(FAR * longer)
    before = int((middle - least) / GRID_SECONDS) + 1
    after = int((most - middle) / GRID_SECONDS) + 1
    edges = middle + GRID_SECONDS * (np.arange(-before, after + 2) - 0.5)
    below = np.array([_share_below(share, shorter, longer) for share in (edges / middle).tolist()])
    mass = np.diff(below)
    return middle - before * GRID_SECONDS, mass / mass.sum()


def _share_below(factor: float, shorter: float, longer: float) -> float:
    if factor <= 0:
        return 0.0
    spread = shorter if factor < 1 else longer
    # As NormalDist.cdf, without its checks: this is most of the time of a plan's arrivals.
    return 0.5 * erfc(-log(factor) / spread / SQRT_2) if spread > 0 else float(factor >= 1)


def arrivals(problem: Problem, schedule: Schedule, spread: Spread) -> list[Arrival]:
    """The arrivals of a checked route, in order, with its given start."""
    rig = problem.rig_by_key[schedule.route.rig]
    shorter, longer = -log(spread.low) / TENTH, log(spread.high) / TENTH
    shared = min(spread.traffic, SHARED * max(0.0, min(shorter, longer)))
    own = sqrt(max(0.0, shorter**2 - shared**2)), sqrt(max(0.0, longer**2 - shared**2))
    nodes = np.linspace(LIGHTEST, -LIGHTEST, CASES) if shared else np.zeros(1)
    weights = np.exp(-(nodes**2) / 2)
    weights /= weights.sum()
    cases = [
        list(_arrival_distributions(problem, rig, schedule, spread, traffic=exp(shared * node), own=own))
        for node in nodes
    ]
    found = []
    for number, key in enumerate(schedule.route.keys):
        at = np.concatenate([case[number].at for case in cases])
        mass = np.concatenate([weight * case[number].mass for weight, case in zip(weights, cases, strict=True)])
        low, by, high = _quantiles(at, mass, (LOW, IN_TIME, HIGH))
        found.append(Arrival(key, low, high, by))
    return found


def _quantiles(at: Points, mass: Points, shares: Sequence[float]) -> list[float]:
    at, mass = at[mass > 0], mass[mass > 0]
    order = np.argsort(at, kind="stable")
    middle = np.cumsum(mass[order]) - mass[order] / 2
    return [float(np.interp(share, middle, at[order])) for share in shares]


def _arrival_distributions(
    problem: Problem, rig: RigDay, schedule: Schedule, spread: Spread, *, traffic: float, own: tuple[float, float]
) -> Iterator[_Distribution]:
    """The distribution at each arrival, with this traffic. The steps are those of the check's walk."""
    seconds = problem.roads[rig.roads].seconds
    clock = _Distribution(schedule.leaves, np.ones(1))
    here = problem.shop if rig.start is None else rig.start
    # How far off the place is that the rig leaves, in seconds.
    off = 0.0
    turn = 0
    for number, trip in enumerate(schedule.trips(rig)):
        if number > 0 or rig.start is None:
            released = max((problem.by_key[key].release for key in trip), default=0)
            clock = clock.moved(_not_before(max(released, problem.hours.opens))).plus(problem.loading)
        for key in trip:
            stop = problem.by_key[key]
            clock = _after_breaks(clock, rig, schedule.break_positions, turn)
            clock = clock.takes(_kernel(seconds[here][stop.place] * traffic, *own))
            if here != stop.place:
                clock = _off_by(_off_by(clock, off), spread.places.get(key, 0.0)).moved(_not_before(schedule.leaves))
                off = spread.places.get(key, 0.0)
            yield clock
            clock = _after_breaks(clock, rig, schedule.break_positions, turn + 1)
            turn += 2
            work = spread.work(key)
            clock = clock.moved(_work_start(stop)).takes(_kernel(stop.service * work.median, work.sigma, work.sigma))
            here = stop.place
        clock = _off_by(clock.takes(_kernel(seconds[here][problem.shop] * traffic, *own)), off)
        here, off = problem.shop, 0.0


def _off_by(clock: _Distribution, seconds: float) -> _Distribution:
    """The distribution when a drive may be longer or shorter by up to so much, each as likely."""
    steps = round(seconds / GRID_SECONDS)
    if not steps:
        return clock
    return clock.takes((-float(steps * GRID_SECONDS), np.full(2 * steps + 1, 1 / (2 * steps + 1))))


def _after_breaks(clock: _Distribution, rig: RigDay, break_positions: Sequence[int], turn: int) -> _Distribution:
    for rest, at in zip(rig.breaks, break_positions, strict=True):
        if at == turn:
            clock = clock.moved(_not_before(rest.opens)).plus(rest.seconds)
    return clock


def _not_before(moment: float) -> Callable[[Points], Points]:
    return lambda at: np.maximum(at, moment)


def _work_start(stop: StopTask) -> Callable[[Points], Points]:
    """When work begins after an arrival: in the first window that is left, at once when all are over."""

    def starts(at: Points) -> Points:
        found = np.full_like(at, float(FOREVER) * 10)
        for window in stop.windows:
            found = np.where(at <= window.closes, np.minimum(found, np.maximum(at, window.opens)), found)
        return np.where(found > FOREVER, at, found)

    return starts


def reliable_start(problem: Problem, schedule: Schedule, spread: Spread) -> tuple[Schedule, list[Arrival]]:
    """The same route with the latest start that makes each stop in time with a probability of `IN_TIME`; its arrivals.

    Stops that no start makes so reliable do not count, and the start is never later than it was.
    """
    rig = problem.rig_by_key[schedule.route.rig]
    expected = arrivals(problem, schedule, spread)
    late = stops_at_risk(problem, schedule, expected)
    earliest = max(rig.shift.opens, problem.hours.opens if rig.start is None else 0)
    if not late or earliest >= schedule.leaves:
        return schedule, expected

    def at(start: int) -> tuple[Schedule, list[Arrival]]:
        moved = started_at(problem, schedule, start)
        return moved, arrivals(problem, moved, spread)

    best = at(earliest)
    hopeless = stops_at_risk(problem, *best).keys()
    if late.keys() <= hopeless:
        return schedule, expected
    low, high = earliest, schedule.leaves
    while high - low > GRID_SECONDS:
        middle = (low + high) // 2
        tried = at(middle)
        if stops_at_risk(problem, *tried).keys() <= hopeless:
            low, best = middle, tried
        else:
            high = middle
    return best


def stops_at_risk(problem: Problem, schedule: Schedule, expected: Sequence[Arrival]) -> dict[str, float]:
    """The stops below a probability of `IN_TIME`, with the seconds by which they should be earlier.

    `expected`: the arrivals of the schedule.
    """
    found = {}
    for arrival, visit in zip(expected, schedule.visits, strict=True):
        # Only the window that it is planned in counts, not one of another day.
        windows = problem.by_key[arrival.stop].windows
        mine = [window.closes for window in windows if window.opens <= visit.starts <= window.closes]
        last = max(mine or [window.closes for window in windows])
        if arrival.by > last:
            found[arrival.stop] = arrival.by - last
    return found
