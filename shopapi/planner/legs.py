"""The legs of a route's trips: what is aboard on each, the tie-downs it takes, what no figure is known of."""

from collections.abc import Iterator
from dataclasses import dataclass

from shopapi.planner.loading.deck import Exact, Piece
from shopapi.planner.loading.tie_downs import count_of_machine
from shopapi.planner.problem import Problem, RigDay, Route


def trips_of(rig: RigDay, route: Route) -> list[tuple[str, ...]]:
    """The trips that count. One that begins on the road may have nothing on its first but the way home."""
    return [trip for number, trip in enumerate(route.trips) if trip or (number == 0 and rig.start is not None)]


@dataclass(frozen=True)
class LegTieDowns:
    """One leg of a trip: the tie-downs it takes, the weight they hold (as far as it is known), what came on last."""

    trip: int
    needed: int
    kg: Exact
    last: str | None


def tie_downs(problem: Problem, rig: RigDay, route: Route) -> Iterator[LegTieDowns]:
    """Each leg of each trip: as it leaves, then after each machine that came off or on."""
    for number, trip in enumerate(trips_of(rig, route)):
        aboard: dict[str, Piece | None] = {}
        if number == 0 and rig.start is not None:
            gone = dict(rig.on_deck)
            aboard |= {key: problem.by_key[key].piece if key in problem.by_key else gone.get(key) for key in rig.aboard}
        else:
            aboard |= {key: problem.by_key[key].piece for key in trip if problem.by_key[key].leaves_shop}
        yield _leg_tie_downs(problem, rig, number, aboard)
        for key in trip:
            stop = problem.by_key[key]
            if stop.leaves_shop:
                aboard.pop(key, None)
            elif any(stop.takes):
                aboard[key] = stop.piece
            else:
                continue
            yield _leg_tie_downs(problem, rig, number, aboard)


def unmeasured_on_deck(problem: Problem, rig: RigDay, route: Route) -> Iterator[tuple[tuple[str, ...], ...]]:
    """For each trip and each leg of its stowage: the machines aboard at any time in it that no layout can hold.

    They have no weight or no length, so that deck, tongue and margins of that leg are of the others alone.
    """
    for number, trip in enumerate(trips_of(rig, route)):
        known = dict(rig.on_deck) | {key: stop.piece for key, stop in problem.by_key.items()}
        on_road = number == 0 and rig.start is not None
        start = rig.aboard if on_road else (key for key in trip if problem.by_key[key].leaves_shop)
        aboard = [key for key in start if known.get(key) is None]
        legs = [list(aboard)]
        for key in trip:
            stop = problem.by_key[key]
            if stop.piece is not None:
                legs.append(list(aboard))
            elif stop.leaves_shop:
                aboard = [other for other in aboard if other != key]
            elif any(stop.takes):
                aboard.append(key)
                legs[-1].append(key)
        yield tuple(map(tuple, legs))


def _leg_tie_downs(problem: Problem, rig: RigDay, trip: int, aboard: dict[str, Piece | None]) -> LegTieDowns:
    needed = sum(
        count_of_machine(
            None if piece is None else piece.length_cm,
            None if piece is None else piece.kg,
            shop_least=problem.least_tie_downs,
            each=rig.strap,
        )
        for piece in aboard.values()
    )
    kg: Exact = sum(piece.kg for piece in aboard.values() if piece is not None)
    return LegTieDowns(trip, needed, kg, next(reversed(aboard), None))
