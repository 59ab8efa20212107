"""Will it tow: what a loaded deck does to the ball, the axles and every rating.

Static moments about the ball, all in kilograms and centimetres behind it. With the axle group's middle at A, a weight
w at x puts w (1 - x / A) on the ball and the rest on the axles, so that tongue and axles always add up to the gross
weight. The trailer stands level on level ground and its axles share evenly: the figures are for choosing a place on
the deck, not for passing a scale. Weigh it if in doubt.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice, product
from math import ceil

from shopapi.dispatch.rules.deck import Blocked, Deck, Move, Piece, Placed, Standing, standings

# How fine the search of places goes, and how far: with more machines in coarser steps, and an end to it.
STEP_CM = 20
MOST_GAPS = 400
MOST_WAYS = 2000
# A tongue this near to the middle of its range is as good as any.
NEAR_ENOUGH = 0.005


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
class Towing:
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
class Stowed:
    """What stands where on each leg, and what each leg does to the rig (empty without a trailer)."""

    legs: tuple[Standing, ...]
    towing: tuple[Towing, ...]


@dataclass(frozen=True)
class Unstowed:
    """Why no way of standing holds, for the way that comes closest."""

    code: str
    facts: Mapping[str, int | str]


def towing(trailer: Trailer, weights: Sequence[Weight]) -> Towing:
    """Tongue, axles and margins of a loaded trailer."""
    gross = trailer.empty_kg + sum(weight.kg for weight in weights)
    tongue = trailer.tongue_kg + sum(weight.kg * (1 - weight.x_cm / trailer.axle_cm) for weight in weights)
    load = sum(weight.kg for weight in weights)
    side = sum(weight.kg * weight.y_cm for weight in weights) / load if load else 0.0
    axles = gross - tongue
    found = sorted(_margins(trailer, gross, tongue, axles), key=lambda margin: margin.kg)
    return Towing(gross, tongue, axles, side, tuple(found))


def _margins(trailer: Trailer, gross: float, tongue: float, axles: float) -> Iterator[Margin]:
    truck = trailer.truck
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


def middle_from_scale(trailer: Trailer, kg: float, tongue_kg: float) -> float:
    """Where one weight's middle stands, centimetres behind the ball, when the tongue reads `tongue_kg` under it."""
    return trailer.axle_cm * (1 - (tongue_kg - trailer.tongue_kg) / kg)


def weights_of(trailer: Trailer, deck: Deck, standing: Standing) -> list[Weight]:
    return [Weight(placed.piece.kg, trailer.deck_cm + placed.middle_cm, side_of(deck, placed)) for placed in standing]


def side_of(deck: Deck, placed: Placed) -> float:
    """How far right of the middle line a machine's middle stands."""
    return (placed.lane + placed.span / 2) * deck.lane_cm - deck.width_cm / 2


def stow(
    deck: Deck,
    trailer: Trailer | None,
    pieces: Mapping[str, Piece],
    at_start: Sequence[str],
    moves: Sequence[Move],
    *,
    fixed: bool = False,
) -> Stowed | Unstowed:
    """The best standing for every leg of a trip: nothing blocked, every rating kept, the tongue in its range.

    Without a trailer the first order that works is taken. With one, machines are also moved back along the deck in
    steps, and the way whose tongue stays nearest to the middle of its range on every leg wins.
    """
    best: tuple[float, Stowed] | None = None
    closest: tuple[float, Unstowed] | None = None
    ways = islice(_ways(deck, trailer, pieces, at_start, moves, fixed=fixed), MOST_WAYS)
    for legs in ways:
        if isinstance(legs, Blocked):
            if closest is None:
                closest = (float("inf"), _blocked(legs))
            continue
        if trailer is None:
            return Stowed(legs, ())
        pulled = tuple(towing(trailer, weights_of(trailer, deck, leg)) for leg in legs)
        score, wrong = _judge(trailer, legs, pulled)
        if wrong is None:
            if best is None or score < best[0]:
                best = (score, Stowed(legs, pulled))
                if score <= NEAR_ENOUGH:
                    break
        elif closest is None or score < closest[0]:
            closest = (score, wrong)
    if best is not None:
        return best[1]
    return closest[1] if closest else Unstowed("deck", {})


def _ways(
    deck: Deck,
    trailer: Trailer | None,
    pieces: Mapping[str, Piece],
    at_start: Sequence[str],
    moves: Sequence[Move],
    *,
    fixed: bool,
) -> Iterator[tuple[Standing, ...] | Blocked]:
    yield from standings(deck, pieces, at_start, moves, fixed=fixed)
    keys = [*at_start, *(move.key for move in moves if move.on)]
    if trailer is None or not keys:
        return
    free = max(0, deck.length_cm - max(pieces[key].length_cm for key in keys))
    step = max(STEP_CM, ceil(free / int(MOST_GAPS ** (1 / len(keys)))))
    for gaps in product(range(0, free + 1, step), repeat=len(keys)):
        if any(gaps) and sum(gaps) <= free:
            yield from standings(deck, pieces, at_start, moves, fixed=fixed, gaps=dict(zip(keys, gaps, strict=True)))


def _blocked(blocked: Blocked) -> Unstowed:
    if blocked.by is None:
        return Unstowed("deck_space", {"stop": blocked.key})
    return Unstowed("deck_order", {"stop": blocked.key, "behind": blocked.by})


def _judge(trailer: Trailer, legs: Sequence[Standing], pulled: Sequence[Towing]) -> tuple[float, Unstowed | None]:
    """A score (smaller is better) and the worst that is wrong. Ratings weigh more than the tongue's range."""
    wanted = (trailer.tongue_low + trailer.tongue_high) / 2
    score, wrong, worst = 0.0, None, 0.0
    for standing, pull in zip(legs, pulled, strict=True):
        margin = pull.smallest
        if margin is not None and margin.kg < 0:
            bad = 1000 - margin.kg
            facts: dict[str, int | str] = {"rating": margin.rating, "over_kg": round(-margin.kg)}
            if bad > worst:
                worst, wrong = bad, Unstowed("rating", facts)
        if not standing:
            continue
        score = max(score, abs(pull.tongue_share - wanted))
        outside = max(trailer.tongue_low - pull.tongue_share, pull.tongue_share - trailer.tongue_high)
        if outside > 0 and outside > worst:
            percent = round(pull.tongue_share * 1000)
            facts = {"tongue_kg": round(pull.tongue_kg), "tongue_permille": percent}
            worst, wrong = outside, Unstowed("tongue", facts)
    return (worst if wrong else score), wrong
