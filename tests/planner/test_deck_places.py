"""Places on the deck against a reference: scipy's `linprog` (HiGHS) with moments computed here, without the rules.

Its program has fronts in centimetres, each leg's moments about the axle, room and order between
the machines that stand in one lane at one time, and every limit as a line in the fronts.
"""

from dataclasses import replace
from itertools import pairwise, product

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from shopapi.planner.loading.deck import Deck, DeckMove, Piece
from shopapi.planner.loading.simplex import maximize
from shopapi.planner.loading.stowage import Stowage, StowageFailure, Trailer, Truck, stow

Trip = tuple[Deck, Trailer, dict[str, Piece], list[str], list[DeckMove]]


@st.composite
def trips(draw: st.DrawFn) -> Trip:
    """Drops and one pickup on a deck of one or two lanes, on a trailer that can just about be brought into balance."""
    pieces = {
        key: Piece(draw(st.integers(40, 700)), draw(st.integers(60, 180)), draw(st.sampled_from([0, 70, 140])))
        for key in draw(st.sampled_from(["a", "ab", "abc", "abcd"]))
    }
    keys = list(pieces)
    picked = keys[-1] if len(keys) > 1 and draw(st.booleans()) else None
    at_start = [key for key in keys if key != picked]
    moves = [DeckMove(key, on=False) for key in draw(st.permutations(at_start))]
    if picked:
        moves.insert(draw(st.integers(0, len(moves))), DeckMove(picked, on=True))
    deck = Deck(draw(st.integers(350, 650)), 180, lanes=draw(st.integers(1, 2)), gap_cm=draw(st.sampled_from([0, 15])))
    axle = draw(st.integers(250, 450))
    low = draw(st.sampled_from([0.09, 0.10, 0.12]))
    rated = st.none() | st.integers(90, 400)
    truck = Truck(
        ready_kg=2400,
        hitch_tongue_kg=draw(rated),
        rear_ready_kg=1100,
        rear_gawr_kg=draw(st.none() | st.integers(1300, 1900)),
        wheelbase_cm=350,
        overhang_cm=140,
    )
    trailer = Trailer(
        draw(st.integers(300, 900)), draw(st.integers(30, 120)), axle, draw(st.integers(60, 160)),
        gawr_kg=draw(st.none() | st.integers(800, 2500)), tongue_low=low,
        tongue_high=low + draw(st.sampled_from([0.004, 0.03, 0.06])), truck=truck,
    )  # fmt: skip
    return deck, trailer, pieces, at_start, moves


def legs_of(at_start: list[str], moves: list[DeckMove]) -> list[list[str]]:
    """The machines aboard on each leg, in the order of loading: the last drop first."""
    drops = [move.key for move in moves if not move.on]
    legs = [sorted(at_start, key=lambda key: -drops.index(key))]
    for move in moves:
        legs.append([*legs[-1], move.key] if move.on else [key for key in legs[-1] if key != move.key])
    return legs


def lines_of(trailer: Trailer, pieces: dict[str, Piece], leg: list[str]) -> list[tuple[dict[str, float], float]]:
    """Each limit of one leg as (coefficients of the fronts, at most), from moments about the axle."""
    assert trailer.truck is not None
    gross = trailer.empty_kg + sum(pieces[key].kg for key in leg)
    reach = trailer.axle_cm - trailer.deck_cm
    moment = trailer.tongue_kg * trailer.axle_cm + sum(
        pieces[key].kg * (reach - pieces[key].length_cm / 2) for key in leg
    )
    tongue = ({key: -pieces[key].kg / trailer.axle_cm for key in leg}, moment / trailer.axle_cm)
    most, least = [], []
    if trailer.truck.hitch_tongue_kg is not None:
        most.append(trailer.truck.hitch_tongue_kg)
    if trailer.truck.rear_gawr_kg is not None:
        most.append((trailer.truck.rear_gawr_kg - 1100) * 350 / 490)
    if trailer.gawr_kg is not None:
        least.append(gross - trailer.gawr_kg)
    if leg:
        most.append(trailer.tongue_high * gross)
        least.append(trailer.tongue_low * gross)
    by, at = tongue
    return [(by, limit - at) for limit in most] + [({k: -v for k, v in by.items()}, at - limit) for limit in least]


def room_by_reference(trip: Trip) -> float:
    """How many centimetres or kilograms all the lines can be kept away from at once; below zero: no place holds."""
    deck, trailer, pieces, at_start, moves = trip
    legs, keys = legs_of(at_start, moves), list(pieces)
    spans = {key: max(1, -(-pieces[key].width_cm // (deck.width_cm // deck.lanes))) for key in keys}
    best = -np.inf
    for chosen in product(*(range(deck.lanes - spans[key] + 1) for key in keys)):
        uses = {key: set(range(lane, lane + spans[key])) for key, lane in zip(keys, chosen, strict=True)}
        if any(not uses[key].isdisjoint(uses[gone]) for key, gone in blocked(legs)):
            continue
        hard = [({key: 1.0}, deck.length_cm - pieces[key].length_cm) for key in keys]
        for leg in legs:
            hard += [
                ({ahead: 1.0, behind: -1.0}, -pieces[ahead].length_cm - deck.gap_cm)
                for at, ahead in enumerate(leg)
                for behind in leg[at + 1 :]
                if not uses[ahead].isdisjoint(uses[behind])
            ]
        soft = [line for leg in legs for line in lines_of(trailer, pieces, leg)]
        rows = [
            [by.get(key, 0.0) for key in keys] + [apart] for apart, some in ((0, hard), (1, soft)) for by, _ in some
        ]
        ends = [most for _, most in (*hard, *soft)]
        bounds = [(0, None)] * len(keys) + [(None, 1000)]
        found = linprog([0.0] * len(keys) + [-1.0], A_ub=rows, b_ub=ends, bounds=bounds)
        if found.status == 0:
            best = max(best, -found.fun)
    return best


def blocked(legs: list[list[str]]) -> list[tuple[str, str]]:
    """(machine behind, machine that comes off) of each drop."""
    return [
        (key, gone)
        for before, after in pairwise(legs)
        for gone in set(before) - set(after)
        for key in before[before.index(gone) + 1 :]
    ]


# Two centimetres are all there is between a tongue too light and one too heavy: steps of 20 cm would pass over them.
NARROW = Trailer(400, 40, 300, 90, tongue_low=0.122, tongue_high=0.126, truck=Truck(2400))


@settings(max_examples=150, deadline=None)
@given(trips())
@example((Deck(420, 180), NARROW, {"a": Piece(500, 170)}, ["a"], [DeckMove("a", on=False)]))
def test_load_is_feasible_where_the_reference_finds_places(trip: Trip) -> None:
    deck, trailer, pieces, at_start, moves = trip
    found, room = stow(deck, trailer, pieces, at_start, moves), room_by_reference(trip)

    # On the very edge two solvers may differ in the noise of their sums.
    if isinstance(found, StowageFailure):
        assert room < 1e-5
        return
    assert room > -1e-5
    keeps(found, trip)
    assert stow(deck, trailer, pieces, at_start, moves) == found


def keeps(found: Stowage, trip: Trip) -> None:
    """Recomputed with the sums of this file: every limit, room on the deck, and nobody moves between two legs."""
    deck, trailer, pieces, at_start, moves = trip
    fronts: dict[str, float] = {}
    for leg, layout in zip(legs_of(at_start, moves), found.legs, strict=True):
        assert [placed.key for placed in layout] == leg
        for placed in layout:
            assert fronts.setdefault(placed.key, float(placed.front_cm)) == placed.front_cm
            assert -1e-6 <= placed.front_cm <= deck.length_cm - placed.piece.length_cm + 1e-6
        for at, ahead in enumerate(layout):
            for behind in layout[at + 1 :]:
                lanes = set(range(ahead.lane, ahead.lane + ahead.span))
                if not lanes.isdisjoint(range(behind.lane, behind.lane + behind.span)):
                    gap = behind.front_cm - ahead.front_cm - pieces[ahead.key].length_cm
                    assert gap >= deck.gap_cm - 1e-6
        for by, most in lines_of(trailer, pieces, leg):
            assert sum(each * fronts[key] for key, each in by.items()) <= most + 1e-5


def test_a_place_between_two_steps_is_found_on_a_whole_centimetre() -> None:
    found = stow(Deck(420, 180), NARROW, {"a": Piece(500, 170)}, ["a"], [DeckMove("a", on=False)])

    assert isinstance(found, Stowage)
    (placed,) = found.legs[0]
    # By hand: 0.124 of 900 kg is 111.6 kg; 40 + 500 (1 - x / 300) = 111.6 at x = 257.04, its front 85 + 90 cm before.
    assert placed.front_cm == 82
    # A range of a fraction of a millimetre, between whole centimetres: 0.123925 of 900 kg wants its middle at 257.0805.
    finer = replace(NARROW, tongue_low=0.1239, tongue_high=0.12395)
    exact = stow(Deck(420, 180), finer, {"a": Piece(500, 170)}, ["a"], [DeckMove("a", on=False)])
    assert isinstance(exact, Stowage)
    assert exact.legs[0][0].front_cm == pytest.approx(82.0805, abs=1e-6)


def test_simplex_solves_textbook_examples() -> None:
    # The Wyndor Glass example that textbooks of operations research open with (from memory): x <= 4, 2 y <= 12,
    # 3 x + 2 y <= 18, most of 3 x + 5 y at (2, 6): 36. The gain is a third unknown, held by its own row.
    rows = [[1, 0, 0], [0, 2, 0], [3, 2, 0], [-3, -5, 1]]
    assert maximize(rows, [4, 12, 18, 0], [2]) == pytest.approx([2, 6, 36])
    # Beale's example (1955), in which the method without a rule for ties goes in circles: 0.05 at (0.04, 0, 1, 0).
    circles: list[list[float]] = [
        [0.25, -60, -0.04, 9, 0],
        [0.5, -90, -0.02, 3, 0],
        [0, 0, 1, 0, 0],
        [-0.75, 150, -0.02, 6, 1],
    ]
    assert maximize(circles, [0, 0, 1, 0], [4])[4] == pytest.approx(0.05)
