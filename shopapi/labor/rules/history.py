"""Typical hours of an operation from the shop's own finished jobs: a median, an interval and the number of jobs.

The n times of one operation on one kind of machine are sorted, x1 the shortest. If the next job is like those, it falls
between x_r and x_s with a probability of exactly (s - r) / (n + 1), whatever the shape of the times (order statistics:
David and Nagaraja, Order Statistics, ch. 7; Hahn and Meeker, Statistical Intervals, on distribution-free prediction
intervals for one future observation), and takes no longer than x_k, k = ceil((n + 1)(1 - a)), in at least 1 - a
of the cases (split-conformal prediction: Vovk, Gammerman and Shafer, Algorithmic Learning in a Random World). The
sources are cited from memory; the tests check the figures by drawing.
That is true for jobs on the same kind of machine only. Times of other kinds give a range without a stated probability,
since it is not known how far the kinds differ.
Twin: `pwa/src/domain/labor/history.ts`. Whole minutes throughout.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import exp, floor, log
from statistics import median
from typing import Literal

from typing_extensions import TypeAliasType

COVERAGE = 80
# The share of jobs that may take longer than the upper bound: one in ten.
MISS = 10
# With fewer jobs than this an 80 % interval has no two finite ends.
ENOUGH = 9
# Jobs of the kind itself have the weight n / (n + SHRINK) against the wider group: half with four jobs.
SHRINK = 4
# How many of the latest jobs a summary keeps per operation and kind.
MOST_KEPT = 99

Level = TypeAliasType("Level", Literal["kind", "family", "all", "none"])


@dataclass(frozen=True)
class OperationTimes:
    """The times of one operation on one kind of machine in minutes, one per job; `reworked` of them had rework."""

    machine_kind: str
    minutes: Sequence[int]
    reworked: int = 0


@dataclass(frozen=True)
class TypicalHours:
    """Hours to quote. `level`: whose times the interval is computed from: this kind's, its family's or all machines'.

    `low` and `high` are None where there are too few jobs. At least `of_ten` of ten such jobs lie between them, and
    nine of ten take no longer than `most`; both are None where the interval is not computed from this kind's own jobs.
    `jobs`: how many the interval is computed from (without one: `minutes`); `own`: how many of those are of this kind.
    """

    level: Level
    minutes: int | None
    low: int | None
    high: int | None
    of_ten: int | None
    most: int | None
    jobs: int
    own: int
    reworked: int

    @property
    def few(self) -> bool:
        """Whether this kind has too few jobs for an interval of its own."""
        return self.own < ENOUGH


def name_key(text: str) -> str:
    """The key by which names of operations and machine kinds are compared: lower case, trimmed.

    >>> name_key(" Carburetor clean ")
    'carburetor clean'
    """
    return text.strip().lower()


def family_of(machine_kind: str) -> str:
    """The family of a machine kind: its last word.

    >>> family_of("lawn tractor") == family_of("Garden Tractor")
    True
    """
    words = name_key(machine_kind).split()
    return words[-1] if words else ""


def ranks(n: int, coverage: int = COVERAGE) -> tuple[int, int] | None:
    """The ranks r and s (from 1) of the narrowest interval with this coverage in percent; None when n is too small.

    Of the n + 1 gaps around and between n times the rest may be left out, half of them at each end and an odd one at
    the upper end, where times lie furthest apart. The choice does not depend on the times: picking the narrower end
    afterwards would lower the coverage.

    >>> ranks(9), ranks(14), ranks(19), ranks(19, 90), ranks(39, 90), ranks(8)
    ((1, 9), (1, 13), (2, 18), (1, 19), (2, 38), None)
    """
    outside = (n + 1) * (100 - coverage) // 100
    r = outside // 2
    return (r, r + n + 1 - outside) if r >= 1 else None


def upper_rank(n: int, miss: int = MISS) -> int | None:
    """The rank k (from 1) so that x_k is exceeded in at most `miss` percent of cases; None when that is beyond x_n.

    >>> upper_rank(19), upper_rank(9), upper_rank(8)
    (18, 9, None)
    """
    k = -(-(n + 1) * (100 - miss) // 100)
    return k if k <= n else None


def typical(kinds: Iterable[OperationTimes], machine_kind: str) -> TypicalHours:
    """The typical hours of one operation on a kind of machine.

    With nine or more jobs of the kind only those count. With fewer, the family's times are added (or all machines', if
    the family has too few): the interval is the group's, widened to contain every time of the kind itself, and the
    median lies between the two medians, nearer to the kind's the more jobs it has.
    """
    known = [one for one in kinds if one.minutes]
    key = name_key(machine_kind)
    of_kind = [one for one in known if name_key(one.machine_kind) == key]
    of_family = [one for one in known if family_of(one.machine_kind) == family_of(key)]
    own = _all_minutes(of_kind)
    if len(own) >= ENOUGH:
        return _typical_hours("kind", of_kind, own, own)
    for level, group in (("family", of_family), ("all", known)):
        if len(_all_minutes(group)) >= ENOUGH:
            return _typical_hours("family" if level == "family" else "all", group, _all_minutes(group), own)
    group = of_kind or of_family or known
    return _typical_hours("none", group, _all_minutes(group), own)


def _all_minutes(group: Iterable[OperationTimes]) -> list[int]:
    return sorted(minutes for one in group for minutes in one.minutes)


def _typical_hours(
    level: Level, group: Sequence[OperationTimes], times: Sequence[int], own: Sequence[int]
) -> TypicalHours:
    # A few jobs of the kind widen the group's interval; enough of them determine it alone.
    stretch = own if len(own) < ENOUGH else ()
    inside = ranks(len(times))
    beyond = upper_rank(len(times)) if level == "kind" else None
    return TypicalHours(
        level=level,
        minutes=_middle(own, times) if times else None,
        low=None if inside is None else min([times[inside[0] - 1], *stretch]),
        high=None if inside is None else max([times[inside[1] - 1], *stretch]),
        of_ten=None if inside is None or level != "kind" else 10 * (inside[1] - inside[0]) // (len(times) + 1),
        most=None if beyond is None else times[beyond - 1],
        jobs=len(times),
        own=len(own),
        reworked=sum(one.reworked for one in group),
    )


def _middle(own: Sequence[int], times: Sequence[int]) -> int:
    if not own or len(own) == len(times):
        return floor(median(times) + 0.5)
    weight = len(own) / (len(own) + SHRINK)
    # Interpolated on logarithms: work takes twice as long about as often as half as long.
    between = weight * log(median(own)) + (1 - weight) * log(median(times))
    return floor(exp(between) + 0.5)


@dataclass(frozen=True)
class Held:
    """How often the interval computed before a job contained the time that the job then took."""

    level: Level
    asked: int
    held: int
    promised: int | None
    """Sum of the stated coverage over the jobs, in tenths; None where none was stated (times of other kinds)."""


def coverage_so_far(jobs: Iterable[tuple[str, int]]) -> list[Held]:
    """Backtest of one operation: `jobs` are (kind of machine, minutes) in the order of their end.

    For each job the interval is computed from the earlier ones and compared with the job's time.
    """
    seen: dict[str, list[int]] = {}
    found: dict[Level, tuple[int, int]] = {}
    promised: dict[Level, int] = {}
    for machine_kind, minutes in jobs:
        said = typical([OperationTimes(kind, times[-MOST_KEPT:]) for kind, times in seen.items()], machine_kind)
        if said.low is not None and said.high is not None:
            asked, held = found.get(said.level, (0, 0))
            found[said.level] = asked + 1, held + (said.low <= minutes <= said.high)
            if said.of_ten is not None:
                promised[said.level] = promised.get(said.level, 0) + said.of_ten
        seen.setdefault(name_key(machine_kind), []).append(minutes)
    return [Held(level, *counts, promised.get(level)) for level, counts in sorted(found.items())]
