"""The ledger of fasteners: shared vectors, the double-entry invariant, scipy as another matching."""

import json
from itertools import permutations
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment

from shopapi.bench.rules.fasteners import FastenerMoveKind
from shopapi.bench.rules.ledger import Ledger, LedgerFastener, LedgerMove, draw_up_ledger
from shopapi.bench.rules.matching import match_cheapest

FIXTURES = Path(__file__).parents[2] / "fixtures" / "bench"
VECTORS = json.loads((FIXTURES / "ledger.json").read_text())
MATCHINGS = json.loads((FIXTURES / "matching.json").read_text())


def a_move(fastener_id: str, kind: str, count: int, at_id: str | None = None, torque: str = "") -> LedgerMove:
    return LedgerMove(fastener_id, FastenerMoveKind(kind), count, at_id, torque)


@pytest.mark.parametrize("vector", VECTORS, ids=lambda vector: vector["name"])
def test_vectors(vector: dict[str, Any]) -> None:
    found = draw_up_ledger(
        [LedgerFastener(**each) for each in vector["fasteners"]], [a_move(*each) for each in vector["moves"]]
    )
    sizes = [
        [line.fastener_id, line.out, line.new, line.back, line.replaced, line.scrapped, line.spare, line.open]
        for line in found.sizes
    ]
    assert sizes == vector["sizes"]
    places = [[line.fastener_id, line.needed, line.right, line.wrong] for line in found.places]
    assert places == vector["places"]
    swaps = [[swap.missing_id, swap.extra_id, swap.extra_at_id, swap.count] for swap in found.swaps]
    assert swaps == vector["swaps"]
    assert list(found.torque_open) == vector["torque_open"]


@pytest.mark.parametrize("vector", MATCHINGS)
def test_matching_vectors(vector: dict[str, Any]) -> None:
    assert [list(pair) for pair in match_cheapest(vector["costs"])] == vector["pairs"]


def tables(most: int) -> st.SearchStrategy[list[list[int]]]:
    return st.tuples(st.integers(1, most), st.integers(1, most)).flatmap(
        lambda size: st.lists(
            st.lists(st.integers(0, 30), min_size=size[1], max_size=size[1]), min_size=size[0], max_size=size[0]
        )
    )


@given(tables(9))
def test_scipy_finds_no_cheaper_matching(costs: list[list[int]]) -> None:
    found = match_cheapest(costs)
    rows, columns = linear_sum_assignment(costs)
    assert sum(costs[row][column] for row, column in found) == sum(
        costs[row][column] for row, column in zip(rows, columns, strict=True)
    )
    assert len({row for row, _ in found}) == len({column for _, column in found}) == len(rows)


@given(tables(4))
def test_no_permutation_is_cheaper(costs: list[list[int]]) -> None:
    rows, columns = len(costs), len(costs[0])
    wide = costs if rows <= columns else [list(column) for column in zip(*costs, strict=True)]
    cheapest = min(
        sum(wide[row][column] for row, column in enumerate(chosen))
        for chosen in permutations(range(len(wide[0])), len(wide))
    )
    assert sum(costs[row][column] for row, column in match_cheapest(costs)) == cheapest


@st.composite
def a_bench(draw: st.DrawFn) -> tuple[list[LedgerFastener], list[LedgerMove]]:
    ids = [f"f{number}" for number in range(draw(st.integers(1, 5)))]
    size = st.sampled_from(["M6", "M8", "1/4-20"]), st.sampled_from(["20", "25", "3/4", ""])
    fasteners = [
        LedgerFastener(each, draw(size[0]), draw(st.integers(1, 5)), draw(size[1]), loosened=draw(st.booleans()))
        for each in ids
    ]
    move = st.builds(
        LedgerMove,
        st.sampled_from(ids),
        st.sampled_from(FastenerMoveKind),
        st.integers(-3, 5).filter(bool),
        st.none() | st.sampled_from(ids),
    )
    return fasteners, draw(st.lists(move, max_size=12))


def double_entry(fasteners: list[LedgerFastener], moves: list[LedgerMove], ledger: Ledger) -> None:
    """Each move is two entries, out of one account and into another: all accounts together stay at zero."""
    out = sum(each.needed for each in fasteners)
    new = sum(line.new for line in ledger.sizes)
    placed = sum(line.back + line.replaced + line.scrapped + line.spare for line in ledger.sizes)
    assert out + new - placed - sum(line.open for line in ledger.sizes) == 0
    assert new + placed == sum(move.count for move in moves if move.kind != FastenerMoveKind.TIGHTENED)


@given(a_bench())
def test_all_accounts_together_stay_at_zero(bench: tuple[list[LedgerFastener], list[LedgerMove]]) -> None:
    fasteners, moves = bench
    ledger = draw_up_ledger(fasteners, moves)
    double_entry(fasteners, moves, ledger)
    # By place as by size: what is back is somewhere.
    assert sum(line.out for line in ledger.sizes) == sum(each.needed for each in fasteners)


@given(a_bench())
def test_a_move_and_its_opposite_leave_no_trace(bench: tuple[list[LedgerFastener], list[LedgerMove]]) -> None:
    fasteners, moves = bench
    opposite = [LedgerMove(move.fastener_id, move.kind, -move.count, move.at_id) for move in moves]
    assert draw_up_ledger(fasteners, [*moves, *opposite]) == draw_up_ledger(fasteners, [])


@given(a_bench())
def test_swaps_pair_what_is_missing_with_what_is_too_much(
    bench: tuple[list[LedgerFastener], list[LedgerMove]],
) -> None:
    ledger = draw_up_ledger(*bench)
    missing = {line.fastener_id: line.needed - line.right for line in ledger.places}
    for fastener_id in {swap.missing_id for swap in ledger.swaps}:
        assert sum(swap.count for swap in ledger.swaps if swap.missing_id == fastener_id) <= missing[fastener_id]


def test_everything_put_back_in_its_place_closes_the_ledger() -> None:
    fasteners = [LedgerFastener(f"f{number}", f"M{number % 9 + 3}", 1 + number % 4) for number in range(500)]
    moves = [LedgerMove(each.id, FastenerMoveKind.BACK, each.count) for each in fasteners]
    ledger = draw_up_ledger(fasteners, moves)
    assert (ledger.places, ledger.swaps, {line.open for line in ledger.sizes}) == ((), (), {0})
