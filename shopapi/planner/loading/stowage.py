"""Loads of a loaded trailer on the ball, the axles and every rating, and the best places on the deck.

Static moments about the ball, all in kilograms and centimetres behind it. With the axle group's middle at A, a weight
w at x puts w (1 - x / A) on the ball and the rest on the axles, so that tongue and axles always add up to the gross
weight. The trailer is level on level ground and its axles share evenly: the figures are for choosing a place on
the deck, not for passing a scale. Weigh it if in doubt.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import combinations, islice
from math import floor

from shopapi.planner.loading.deck import (
    Blocked,
    Deck,
    DeckLayout,
    DeckMove,
    Piece,
    PlacedPiece,
    deck_layouts,
    share_lane,
)
from shopapi.planner.loading.simplex import maximize

# The most uses of the lanes that are tried: all of them up to seven machines in three lanes, ten in two.
MAX_LAYOUTS = 3**7
# A tongue this near to the middle of its range needs no improvement.
NEAR_ENOUGH = 0.005
# Tolerance for floating-point sums: a load exactly on a limit is within it.
TOLERANCE_KG = 1e-6
TOLERANCE_SHARE = 1e-9


@dataclass(frozen=True)
class Trailer:
    """The empty trailer, and the ratings printed on plates and sidewalls; None: not entered, then not looked at.

    `tongue_kg`: on the ball when empty. `axle_cm`: ball to the middle of the axle group. `deck_cm`: ball to the front
    of the deck. `gawr_kg`: of one axle. `tires_kg`: of all its tires together. `tongue_low`, `tongue_high`: the shop's
    range for the tongue as a share of the loaded trailer's weight.
    """

    empty_kg: float
    tongue_kg: float
    axle_cm: float
    deck_cm: float
    axles: int = 1
    track_cm: float = 150
    gvwr_kg: float | None = None
    gawr_kg: float | None = None
    tires_kg: float | None = None
    coupler_kg: float | None = None
    tongue_low: float = 0.10
    tongue_high: float = 0.15
    truck: "Truck | None" = None


@dataclass(frozen=True)
class Truck:
    """The towing vehicle as it leaves: with fuel, people and tools. `hitch_kg`: trailer weight that the hitch may pull.

    `overhang_cm`: rear axle to ball; with the wheelbase it says how the tongue shifts weight between the truck's axles.
    """

    ready_kg: float
    gvwr_kg: float | None = None
    gcwr_kg: float | None = None
    hitch_kg: float | None = None
    hitch_tongue_kg: float | None = None
    ball_kg: float | None = None
    rear_ready_kg: float | None = None
    rear_gawr_kg: float | None = None
    wheelbase_cm: float | None = None
    overhang_cm: float | None = None


@dataclass(frozen=True)
class Weight:
    """A weight whose middle is `x_cm` behind the ball and `y_cm` right of the trailer's middle line."""

    kg: float
    x_cm: float
    y_cm: float = 0


@dataclass(frozen=True)
class Margin:
    """What is left to one rating; negative: it is passed by that much."""

    rating: str
    limit_kg: float
    load_kg: float

    @property
    def kg(self) -> float:
        return self.limit_kg - self.load_kg


@dataclass(frozen=True)
class TowLoads:
    """The figures of one standing load. `side_cm`: its middle, right of the middle line; `margins`: smallest first."""

    gross_kg: float
    tongue_kg: float
    axles_kg: float
    side_cm: float
    margins: tuple[Margin, ...]

    @property
    def tongue_share(self) -> float:
        return self.tongue_kg / self.gross_kg

    @property
    def smallest(self) -> Margin | None:
        return self.margins[0] if self.margins else None


@dataclass(frozen=True)
class Stowage:
    """The layout of each leg, and the loads of each leg (empty without a trailer)."""

    legs: tuple[DeckLayout, ...]
    tow_loads: tuple[TowLoads, ...]


@dataclass(frozen=True)
class StowageFailure:
    """Why no layout is allowed, for the one that comes closest."""

    code: str
    facts: Mapping[str, float | str]


@dataclass(frozen=True)
class _ScoredStowage:
    """One layout: its score (smaller is better) and its worst violation."""

    stowage: Stowage
    score: float
    wrong: StowageFailure | None


def tow_loads(trailer: Trailer, weights: Sequence[Weight]) -> TowLoads:
    """Tongue, axles and margins of a loaded trailer."""
    gross = trailer.empty_kg + sum(weight.kg for weight in weights)
    tongue = trailer.tongue_kg + sum(weight.kg * (1 - weight.x_cm / trailer.axle_cm) for weight in weights)
    load = sum(weight.kg for weight in weights)
    side = sum(weight.kg * weight.y_cm for weight in weights) / load if load else 0.0
    found = sorted(_margins(trailer, gross, tongue), key=lambda margin: margin.kg)
    return TowLoads(gross, tongue, gross - tongue, side, tuple(found))


def _margins(trailer: Trailer, gross: float, tongue: float) -> Iterator[Margin]:
    """Always in the same order. Each load is linear in the tongue's weight."""
    truck, axles = trailer.truck, gross - tongue
    table: list[tuple[str, float | None, float]] = [
        ("trailer_gvwr", trailer.gvwr_kg, gross),
        ("trailer_axle", trailer.gawr_kg, axles / trailer.axles),
        ("tires", trailer.tires_kg, axles),
        ("coupler", trailer.coupler_kg, gross),
    ]
    if truck is not None:
        table += [
            ("truck_gvwr", truck.gvwr_kg, truck.ready_kg + tongue),
            ("gcwr", truck.gcwr_kg, truck.ready_kg + gross),
            ("hitch", truck.hitch_kg, gross),
            ("hitch_tongue", truck.hitch_tongue_kg, tongue),
            ("ball", truck.ball_kg, gross),
        ]
        if truck.rear_ready_kg is not None and truck.wheelbase_cm and truck.overhang_cm is not None:
            lever = (truck.wheelbase_cm + truck.overhang_cm) / truck.wheelbase_cm
            table.append(("truck_rear_axle", truck.rear_gawr_kg, truck.rear_ready_kg + tongue * lever))
    for rating, limit, load in table:
        if limit is not None:
            yield Margin(rating, limit, load)


def center_from_scale(trailer: Trailer, kg: float, tongue_kg: float) -> float:
    """The centre of one weight, centimetres behind the ball, when the tongue reads `tongue_kg` under it."""
    return trailer.axle_cm * (1 - (tongue_kg - trailer.tongue_kg) / kg)


def weights_of(trailer: Trailer, deck: Deck, layout: DeckLayout) -> list[Weight]:
    return [
        Weight(float(placed.piece.kg), trailer.deck_cm + placed.middle_cm, side_of(deck, placed)) for placed in layout
    ]


def side_of(deck: Deck, placed: PlacedPiece) -> float:
    """How far right of the centre line a machine's centre is, in centimetres."""
    return float((placed.lane + Fraction(placed.span, 2)) * deck.lane_cm - Fraction(deck.width_cm) / 2)


def stow(
    deck: Deck,
    trailer: Trailer | None,
    pieces: Mapping[str, Piece],
    at_start: Sequence[str],
    moves: Sequence[DeckMove],
    *,
    fixed: bool = False,
) -> Stowage | StowageFailure:
    """The best layout for every leg of a trip: nothing blocked, every rating kept, the tongue in its range.

    Without a trailer the first order that works is taken. With one, machines also stand further back on the deck, and
    the way whose tongue stays nearest to the middle of its range on every leg wins. Nothing is missed between steps: of
    each order on the deck the best places are computed, not searched.
    """
    ways = islice(deck_layouts(deck, pieces, at_start, moves, fixed=fixed), MAX_LAYOUTS)
    best: _ScoredStowage | None = None
    closest: tuple[float, StowageFailure] | None = None
    for found in _optimized_layouts(deck, trailer, ways):
        if isinstance(found, Blocked):
            if closest is None:
                closest = (float("inf"), _blocked(found))
        elif found.wrong is not None:
            if closest is None or found.score < closest[0]:
                closest = (found.score, found.wrong)
        elif best is None or found.score < best.score:
            best = found
            if best.score <= NEAR_ENOUGH:
                break
    if best is not None:
        return best.stowage
    return closest[1] if closest else StowageFailure("deck", {})


def _optimized_layouts(
    deck: Deck, trailer: Trailer | None, ways: Iterable[tuple[DeckLayout, ...] | Blocked]
) -> Iterator[_ScoredStowage | Blocked]:
    """Each order on the deck at its best, once: the same machines behind one another have the same places along it."""
    seen: set[frozenset[tuple[str, str]]] = set()
    for legs in ways:
        if isinstance(legs, Blocked):
            yield legs
        elif trailer is None:
            yield _ScoredStowage(Stowage(legs, ()), 0, None)
        elif (behind := frozenset(_behind_one_another(legs))) not in seen:
            seen.add(behind)
            yield _optimize_layout(deck, trailer, legs, behind)


def _behind_one_another(legs: Sequence[DeckLayout]) -> Iterator[tuple[str, str]]:
    """The pairs of machines that ever share a lane, as (front, behind)."""
    for layout in legs:
        for ahead, behind in combinations(layout, 2):
            if share_lane(ahead, behind):
                yield ahead.key, behind.key


def _optimize_layout(
    deck: Deck, trailer: Trailer, legs: tuple[DeckLayout, ...], behind: frozenset[tuple[str, str]]
) -> _ScoredStowage:
    """The best places for one order on the deck: all forward if that is near enough, else the optimum.

    On whole centimetres if that holds.
    """
    forward = _score_stowage(trailer, deck, legs)
    if forward.wrong is None and forward.score <= NEAR_ENOUGH:
        return forward
    fronts = _best_fronts(deck, trailer, forward.stowage, sorted(behind))
    rounded = _at(legs, {key: floor(front + 0.5) for key, front in fronts.items()})
    if _has_room(deck, rounded):
        whole = _score_stowage(trailer, deck, rounded)
        if whole.wrong is None:
            return whole
    return _score_stowage(trailer, deck, _at(legs, fronts))


def _has_room(deck: Deck, legs: Sequence[DeckLayout]) -> bool:
    """Whether no machine is over the end of the deck or closer to another than the gap, after rounding places."""
    return all(
        ahead.rear_cm + deck.gap_cm <= behind.front_cm
        for leg in legs
        for ahead, behind in combinations(leg, 2)
        if share_lane(ahead, behind)
    ) and all(placed.rear_cm <= deck.length_cm for leg in legs for placed in leg)


def _at(legs: Sequence[DeckLayout], fronts: Mapping[str, float] | Mapping[str, int]) -> tuple[DeckLayout, ...]:
    return tuple(tuple(replace(placed, front_cm=fronts[placed.key]) for placed in layout) for layout in legs)


def _best_fronts(deck: Deck, trailer: Trailer, forward: Stowage, behind: Sequence[tuple[str, str]]) -> dict[str, float]:
    """Where each machine begins so that least is over a rating on any leg, then the tongue nearest to its middle.

    `forward` has all of them as far forward as they go. Moments are linear in the places, and so are room and ratings:
    a linear program. Its unknowns are how far back each machine is (cm), by how much the worst overload shrinks
    from what it is all forward (kg), and by how much the worst distance from the middle does (thousandths).
    """
    placed = {one.key: one for layout in forward.legs for one in layout}
    number = {key: at for at, key in enumerate(placed)}
    lighter, nearer = len(placed), len(placed) + 1
    table: list[tuple[dict[int, float], float]] = [
        ({number[key]: 1}, float(deck.length_cm - one.rear_cm)) for key, one in placed.items()
    ]
    table += [
        ({number[ahead]: 1, number[after]: -1}, float(placed[after].front_cm - placed[ahead].rear_cm - deck.gap_cm))
        for ahead, after in behind
    ]
    # What a centimetre back takes off the ball, by leg.
    takes = [{number[one.key]: float(one.piece.kg) / trailer.axle_cm for one in layout} for layout in forward.legs]
    margins = [
        (leg, margin, heavier.load_kg - margin.load_kg)
        for leg, pull in zip(takes, forward.tow_loads, strict=True)
        for margin, heavier in zip(
            _margins(trailer, pull.gross_kg, pull.tongue_kg),
            _margins(trailer, pull.gross_kg, pull.tongue_kg - 1),
            strict=True,
        )
    ]
    over = max((-margin.kg for _, margin, _ in margins), default=0)
    for leg, margin, each in margins:
        table.append(({**_scaled(leg, each), lighter: 1}, max(over, 0) + margin.kg))
    wanted = (trailer.tongue_low + trailer.tongue_high) / 2
    pulls = [(leg, pull) for leg, pull in zip(takes, forward.tow_loads, strict=True) if leg]
    off = max((abs(pull.tongue_share - wanted) for _, pull in pulls), default=0)
    for leg, pull in pulls:
        each, now = 1000 / pull.gross_kg, pull.tongue_share - wanted
        table.append(({**_scaled(leg, -each), nearer: 1}, 1000 * (off - now)))
        table.append(({**_scaled(leg, each), nearer: 1}, 1000 * (off + now)))
    # Neither can shrink below nothing; and without a rating or a load nothing else would hold them.
    table += [({lighter: 1}, max(over, 0)), ({nearer: 1}, 1000 * off)]
    rows = [[row.get(at, 0.0) for at in range(nearer + 1)] for row, _ in table]
    back = maximize(rows, [limit for _, limit in table], (lighter, nearer))
    return {key: float(placed[key].front_cm) + back[at] for key, at in number.items()}


def _scaled(leg: Mapping[int, float], each: float) -> dict[int, float]:
    return {at: each * takes for at, takes in leg.items()}


def _blocked(blocked: Blocked) -> StowageFailure:
    if blocked.by is None:
        return StowageFailure("deck_space", {"stop": blocked.key})
    return StowageFailure("deck_order", {"stop": blocked.key, "behind": blocked.by})


def _score_stowage(trailer: Trailer, deck: Deck, legs: tuple[DeckLayout, ...]) -> _ScoredStowage:
    """The score of a layout and its worst violation. Ratings weigh more than the tongue's range."""
    wanted = (trailer.tongue_low + trailer.tongue_high) / 2
    pulled = tuple(tow_loads(trailer, weights_of(trailer, deck, leg)) for leg in legs)
    score, wrong, worst = 0.0, None, 0.0
    for layout, pull in zip(legs, pulled, strict=True):
        margin = pull.smallest
        if margin is not None and margin.kg < -TOLERANCE_KG:
            bad = 1000 - margin.kg
            facts: dict[str, float | str] = {"rating": margin.rating, "over_kg": -margin.kg}
            if bad > worst:
                worst, wrong = bad, StowageFailure("rating", facts)
        if not layout:
            continue
        score = max(score, abs(pull.tongue_share - wanted))
        outside = max(trailer.tongue_low - pull.tongue_share, pull.tongue_share - trailer.tongue_high)
        if outside > TOLERANCE_SHARE and outside > worst:
            facts = {"tongue_kg": pull.tongue_kg, "tongue_share": pull.tongue_share}
            worst, wrong = outside, StowageFailure("tongue", facts)
    return _ScoredStowage(Stowage(legs, pulled), worst if wrong else score, wrong)
