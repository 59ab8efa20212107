"""What is on the deck of a rig on the road, derived from the stops of its run."""

from collections.abc import Sequence
from typing import Protocol, TypeVar

from shopapi.dispatch.rules.states import BEEN


class OnRun(Protocol):
    """The fields of a stop that matter here: its trip and its outcome."""

    trip: int
    kind: str
    state: str
    failure: str


S = TypeVar("S", bound=OnRun)


def trip_of(stops: Sequence[OnRun]) -> int:
    """The trip that a rig is on."""
    return max((stop.trip for stop in stops if stop.state in (*BEEN, "driving")), default=0)


def on_deck(stops: Sequence[S]) -> list[S]:
    """The stops whose machines are on the deck, front first.

    The last return was loaded first; fetched machines follow. A machine that could not be handed over is moved to the
    front while others still have to be unloaded.
    """
    trip = trip_of(stops)
    here = [stop for stop in stops if stop.trip == trip]
    still = [stop for stop in here if stop.kind == "return" and stop.state in ("planned", "driving")]
    fetched = [stop for stop in here if stop.kind == "pickup" and stop.state in ("arrived", "left")]
    return [*undelivered(here), *reversed(still), *fetched]


def undelivered(stops: Sequence[S]) -> list[S]:
    """The failed returns of the current trip, whose machines are still on the deck."""
    trip = trip_of(stops)
    failed = [stop for stop in stops if stop.kind == "return" and stop.state == "failed" and stop.trip == trip]
    # A machine that was not ready never left the shop.
    return [stop for stop in failed if stop.failure != "machine_not_ready"]
