"""Order on the deck, which is loaded and unloaded from its rear: the first drop must be loaded last.

A deck has lanes side by side. A machine is in one lane, or in several when it is wider than one; it can be driven off
only while nothing is behind it in any of its lanes. A machine that is picked up goes on at the rear.
Lengths are centimetres from the front of the deck.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from math import ceil

# A measure without rounding: centimetres or kilograms.
Exact = Fraction | int


@dataclass(frozen=True)
class Piece:
    """One machine on the deck. Its weight acts at its centre."""

    kg: Exact
    length_cm: Exact
    width_cm: Exact = 0


@dataclass(frozen=True)
class Deck:
    """`gap_cm` is what stays free between two machines."""

    length_cm: Exact
    width_cm: Exact
    lanes: int = 1
    gap_cm: int = 0

    @property
    def lane_cm(self) -> Fraction:
        return Fraction(self.width_cm) / self.lanes


@dataclass(frozen=True)
class PlacedPiece:
    """The place of a machine: from `front_cm` on, in the lanes from `lane` to `lane + span - 1`."""

    key: str
    piece: Piece
    front_cm: Exact | float
    lane: int
    span: int

    @property
    def middle_cm(self) -> float:
        return float(self.front_cm) + float(self.piece.length_cm) / 2

    @property
    def rear_cm(self) -> Exact | float:
        return self.front_cm + self.piece.length_cm


@dataclass(frozen=True)
class DeckMove:
    """A change at a stop: the machine `key` is loaded (`on`) or unloaded."""

    key: str
    on: bool


DeckLayout = tuple[PlacedPiece, ...]


@dataclass(frozen=True)
class Blocked:
    """No order on the deck works: `key` cannot come off because `by` is behind it, or does not fit (`by` None)."""

    key: str
    by: str | None


def deck_layouts(
    deck: Deck,
    pieces: Mapping[str, Piece],
    at_start: Sequence[str],
    moves: Sequence[DeckMove],
    *,
    fixed: bool = False,
) -> Iterator[tuple[DeckLayout, ...] | Blocked]:
    """Each use of the lanes: the layout of each leg (before the first move, after each), or why it is impossible.

    Every machine is as far forward as it goes.

    `at_start` are the machines on the deck at the start. They are loaded for their drops: the last drop first.
    `fixed`: they already stand there, in that order from the front.
    """
    keys = [*at_start, *(move.key for move in moves if move.on)]
    spans = {key: _span(deck, pieces[key]) for key in keys}
    if narrow := next((key for key in keys if spans[key] > deck.lanes), None):
        yield Blocked(narrow, None)
        return
    drops = {move.key: number for number, move in enumerate(moves) if not move.on}
    order = list(at_start) if fixed else sorted(at_start, key=lambda key: -drops.get(key, len(moves)))
    for lanes in product(*(range(deck.lanes - spans[key] + 1) for key in keys)):
        yield _simulate_moves(deck, pieces, order, moves, lanes=dict(zip(keys, lanes, strict=True)), spans=spans)


def _span(deck: Deck, piece: Piece) -> int:
    return max(1, ceil(piece.width_cm / max(Fraction(1), deck.lane_cm)))


def _simulate_moves(
    deck: Deck,
    pieces: Mapping[str, Piece],
    order: Sequence[str],
    moves: Sequence[DeckMove],
    *,
    lanes: Mapping[str, int],
    spans: Mapping[str, int],
) -> tuple[DeckLayout, ...] | Blocked:
    layout: list[PlacedPiece] = []
    legs: list[DeckLayout] = []
    for move in (*(DeckMove(key, on=True) for key in order), None, *moves):
        if move is None or not move.on:
            if move is not None:
                here = next(placed for placed in layout if placed.key == move.key)
                if behind := next((other for other in layout if _behind(other, here)), None):
                    return Blocked(move.key, behind.key)
                layout.remove(here)
            legs.append(tuple(layout))
            continue
        lane, span = lanes[move.key], spans[move.key]
        front = _rear(deck, layout, lane, span)
        placed = PlacedPiece(move.key, pieces[move.key], front, lane, span)
        if placed.rear_cm > deck.length_cm:
            return Blocked(move.key, None)
        layout.append(placed)
        if legs:
            legs.append(tuple(layout))
    return tuple(legs)


def _rear(deck: Deck, layout: Sequence[PlacedPiece], lane: int, span: int) -> Exact | float:
    """Where the next machine may begin in these lanes."""
    ahead = [
        other.rear_cm + deck.gap_cm for other in layout if other.lane < lane + span and lane < other.lane + other.span
    ]
    return max(ahead, default=0)


def share_lane(one: PlacedPiece, other: PlacedPiece) -> bool:
    return one.lane < other.lane + other.span and other.lane < one.lane + one.span


def _behind(other: PlacedPiece, here: PlacedPiece) -> bool:
    return share_lane(other, here) and other.front_cm > here.front_cm
