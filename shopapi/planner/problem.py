"""The planner's input and output: travel matrices, rigs, stops, plans.

Seconds since the start of the planned day (or of the shop's own zero) and metres are whole numbers; kilograms and
centimetres of deck are exact, fractions where they were typed in pounds and inches. A load is one figure a dimension,
the same dimensions for every rig and stop.
Keys are the caller's own (ids as text); places are rows of the road tables.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from shopapi.planner.loading.deck import Deck, Exact, Piece
from shopapi.planner.loading.stowage import Trailer
from shopapi.planner.loading.tie_downs import TieDown

Load = tuple[Exact, ...]

# The longest span the planner accepts; a larger figure is a typing error.
FOREVER = 10**9


@dataclass(frozen=True)
class TimeWindow:
    """Work may start from `opens` to `closes`, both included; coming earlier means waiting."""

    opens: int = 0
    closes: int = FOREVER


@dataclass(frozen=True)
class TravelMatrix:
    """Metres and seconds from each place to each place. Rigs that drive alike share one."""

    metres: Sequence[Sequence[int]]
    seconds: Sequence[Sequence[int]]


@dataclass(frozen=True)
class StopTask:
    """One stop: a return brings something from the shop, a pickup takes something there, a visit neither.

    `release`: not out of the shop before (a return whose job is ready at two). `prize`: what leaving an optional stop
    for another day costs, in units of the plan's cost. `only_rigs`: pinned to these; None: any. `follows`: this stop
    comes on the same run somewhere after that one. `piece`: the machine on the deck, for its order there.
    `by_daylight`: the work begins and ends in the problem's daylight. `needs`: of the rig ("winch", "ramp",
    "two_people").
    """

    key: str
    place: int
    brings: Load = ()
    takes: Load = ()
    windows: tuple[TimeWindow, ...] = (TimeWindow(),)
    service: int = 0
    release: int = 0
    required: bool = True
    prize: int = 0
    needs: frozenset[str] = frozenset()
    only_rigs: frozenset[str] | None = None
    follows: str | None = None
    piece: Piece | None = None
    by_daylight: bool = False

    @property
    def leaves_shop(self) -> bool:
        return any(self.brings)


@dataclass(frozen=True)
class Break:
    """A rest of `seconds` that starts from `opens` to `closes`, between two stops or while waiting."""

    opens: int
    closes: int
    seconds: int


@dataclass(frozen=True)
class RigDay:
    """One truck (with trailer) and its shift.

    `start` is where it is at `shift.opens`; None: the shop. `aboard`: the machines on its deck at the start, front
    first; of the returns only these may be dropped before it has been at the shop. `reload`: it may come back to the
    shop and go again. `carries`: load that it brings to the shop from before the plan begins. `deck` None: the order
    on the deck is not looked at; `trailer` None: nor what the load does to tongue and axles. `straps`: how many
    tie-downs it carries, `strap` how strong each is; None: not entered, then not looked at.
    """

    key: str
    capacity: Load
    shift: TimeWindow
    longest: int | None = None
    reload: bool = True
    has: frozenset[str] = frozenset()
    roads: int = 0
    start: int | None = None
    aboard: tuple[str, ...] = ()
    # Of `aboard`, the machines that go to the shop and are no stop of this problem any more.
    on_deck: tuple[tuple[str, Piece], ...] = ()
    carries: Load = ()
    breaks: tuple[Break, ...] = ()
    deck: Deck | None = None
    trailer: Trailer | None = None
    straps: int | None = None
    strap: TieDown | None = None
    # Stops barred for this rig, beyond its equipment: feedback of a check to the search.
    barred: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Costs:
    """What a metre and a second under way (driving, working, waiting) cost, in whole units."""

    metre: int = 1
    second: int = 0


@dataclass(frozen=True)
class Problem:
    """`shop` is the place that every run comes home to, open during `hours`; `loading` seconds go into each trip.

    `least_tie_downs`: what the shop puts on each machine at least.
    """

    roads: tuple[TravelMatrix, ...]
    rigs: tuple[RigDay, ...]
    stops: tuple[StopTask, ...]
    shop: int = 0
    hours: TimeWindow = field(default_factory=TimeWindow)
    daylight: TimeWindow | None = None
    loading: int = 0
    least_tie_downs: int = 4
    costs: Costs = field(default_factory=Costs)

    @cached_property
    def by_key(self) -> Mapping[str, StopTask]:
        return {stop.key: stop for stop in self.stops}

    @cached_property
    def rig_by_key(self) -> Mapping[str, RigDay]:
        return {rig.key: rig for rig in self.rigs}

    @cached_property
    def rig_under(self) -> Mapping[str, str]:
        """Of each stop whose machine is on a deck at the start: the rig."""
        return {key: rig.key for rig in self.rigs for key in rig.aboard}


@dataclass(frozen=True)
class Route:
    """What one rig does: trips out of the shop, each the keys of its stops in order."""

    rig: str
    trips: tuple[tuple[str, ...], ...]

    @property
    def keys(self) -> tuple[str, ...]:
        return tuple(key for trip in self.trips for key in trip)


# Figures of a reason by name, in kilograms, centimetres and seconds.
Facts = Mapping[str, Exact | float | str]


@dataclass(frozen=True)
class LeftOut:
    """A stop that no run serves, the first rule that fails where it comes closest, and the figures of it."""

    stop: str
    code: str
    facts: Facts


@dataclass(frozen=True)
class Plan:
    """The answer. `proven`: no better one exists. `cost` is the checker's, not the engine's."""

    routes: tuple[Route, ...]
    cost: int
    feasible: bool
    proven: bool = False
    left_out: tuple[LeftOut, ...] = ()


def can_serve(rig: RigDay, stop: StopTask) -> bool:
    """Whether the rig has what the stop needs and nobody pinned the stop to another one."""
    return (
        stop.needs <= rig.has and (stop.only_rigs is None or rig.key in stop.only_rigs) and stop.key not in rig.barred
    )
