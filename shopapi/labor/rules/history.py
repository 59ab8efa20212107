"""Hours to quote from the shop's own history: what is usual, between what and what, and how many jobs say so.

Times of one work on one kind of machine are put in order, x1 the shortest of n. If the next job is like those, it falls
between x_r and x_s with a probability of exactly (s - r) / (n + 1), whatever the shape of the times (order statistics:
David and Nagaraja, Order Statistics, ch. 7; Hahn and Meeker, Statistical Intervals, on distribution-free prediction
intervals for one future observation), and takes no longer than x_k, k = ceil((n + 1)(1 - a)), in at least 1 - a
of the cases (split-conformal prediction: Vovk, Gammerman and Shafer, Algorithmic Learning in a Random World). The
sources are cited from memory; the tests check the figures by drawing.
That holds for jobs of the same kind alone. Times of other kinds of machines give a range, and nothing is said of how
often it holds: nobody knows how far the kinds differ.
Twin: `pwa/src/domain/labor/history.ts`. Whole minutes throughout.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import exp, floor, log
from statistics import median
from typing import Literal

from typing_extensions import TypeAliasType

COVERAGE = 80
# The most a shop's next job may exceed the bound: one in ten.
MISS = 10
# With fewer jobs than this no interval of 80 % has both its ends.
ENOUGH = 9
# Own jobs recompute_states n / (n + SHRINK) against the wider group: with four of one's own, half.
SHRINK = 4
# As many jobs as a summary keeps of one work on one kind: the latest.
MOST_KEPT = 99

Level = TypeAliasType("Level", Literal["kind", "family", "all", "none"])


@dataclass(frozen=True)
class Kept:
    """The times of one work on one kind of machine, in minutes, one for each job; `reworked` of them had rework."""

    machine_kind: str
    minutes: Sequence[int]
    reworked: int = 0


@dataclass(frozen=True)
class TypicalHours:
    """What to quote. `level` says whose times the interval is made of: this kind's, its family's, all machines'.

    `low` to `high` is None where there are too few. It holds `of_ten` of ten such jobs at least, and nine of ten take
    no longer than `most`: both None as well where the interval is not made of this kind's own jobs. `jobs` are those
    behind the interval (behind `minutes`, where there is none), `own` those of this kind.
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
        """Whether there are too few jobs of this very kind to speak for themselves."""
        return self.own < ENOUGH


def name_key(text: str) -> str:
    """How names of work and kinds of machine are compared: case and the spaces around do not count.

    >>> name_key(" Carburetor clean ")
    'carburetor clean'
    """
    return text.strip().lower()


def family_of(machine_kind: str) -> str:
    """Kinds that end in the same word are one family.

    >>> family_of("lawn tractor") == family_of("Garden Tractor")
    True
    """
    words = name_key(machine_kind).split()
    return words[-1] if words else ""


def ranks(n: int, coverage: int = COVERAGE) -> tuple[int, int] | None:
    """The closest r and s (from 1) whose interval covers so many percent; None when n is too small.

    Of the n + 1 gaps around and between n times, so many may be left out, half of them at each end; an odd one at the
    upper end, where times lie furthest apart. The choice is made before the times are seen: picking the narrower end
    afterwards would hold less often than is said.

    >>> ranks(9), ranks(14), ranks(19), ranks(19, 90), ranks(39, 90), ranks(8)
    ((1, 9), (1, 13), (2, 18), (1, 19), (2, 38), None)
    """
    outside = (n + 1) * (100 - coverage) // 100
    r = outside // 2
    return (r, r + n + 1 - outside) if r >= 1 else None


def upper_rank(n: int, miss: int = MISS) -> int | None:
    """The k (from 1) with x_k exceeded in at most so many percent of cases; None when it would lie beyond x_n.

    >>> upper_rank(19), upper_rank(9), upper_rank(8)
    (18, 9, None)
    """
    k = -(-(n + 1) * (100 - miss) // 100)
    return k if k <= n else None


def typical(kinds: Iterable[Kept], machine_kind: str) -> TypicalHours:
    """What the history of one work says of a kind of machine.

    With nine jobs of the kind, they alone. With fewer, the family's times with theirs (or all machines', if the family
    has too few): the interval is the wider group's, stretched to hold every time of the kind's own, and the usual time
    lies between the two medians, nearer to the kind's own the more jobs it has.
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


def _all_minutes(group: Iterable[Kept]) -> list[int]:
    return sorted(minutes for one in group for minutes in one.minutes)


def _typical_hours(level: Level, group: Sequence[Kept], times: Sequence[int], own: Sequence[int]) -> TypicalHours:
    # A few own jobs stretch the wider group's interval; enough of them are the interval.
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
    # Between the logarithms: work takes twice as long about as often as half as long.
    between = weight * log(median(own)) + (1 - weight) * log(median(times))
    return floor(exp(between) + 0.5)


@dataclass(frozen=True)
class Held:
    """How often the interval that stood before a job held what the job then took."""

    level: Level
    asked: int
    held: int
    promised: int | None
    """Sum over the asked of what was promised, in tenths; None where nothing was, since other kinds spoke for it."""


def coverage_so_far(jobs: Iterable[tuple[str, int]]) -> list[Held]:
    """Look back at the jobs of one work, each (kind of machine, minutes), in the order of their end.

    Before each one an interval stood that the earlier ones gave; did it hold?
    """
    seen: dict[str, list[int]] = {}
    found: dict[Level, tuple[int, int]] = {}
    promised: dict[Level, int] = {}
    for machine_kind, minutes in jobs:
        said = typical([Kept(kind, times[-MOST_KEPT:]) for kind, times in seen.items()], machine_kind)
        if said.low is not None and said.high is not None:
            asked, held = found.get(said.level, (0, 0))
            found[said.level] = asked + 1, held + (said.low <= minutes <= said.high)
            if said.of_ten is not None:
                promised[said.level] = promised.get(said.level, 0) + said.of_ten
        seen.setdefault(name_key(machine_kind), []).append(minutes)
    return [Held(level, *counts, promised.get(level)) for level, counts in sorted(found.items())]
