"""What is at a place, and what has to be ordered. Vectors that the phone runs too are in `fixtures/parts`."""

import json
from datetime import datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from random import Random
from typing import Any
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopapi.core.ids import uuid7
from shopapi.parts.rules.stock import (
    Move,
    StockMoveReason,
    StockMoveRecord,
    StockTransfer,
    level_of,
    missing_to_minimum,
    move_faults,
    transfer_faults,
)

VECTORS = json.loads((Path(__file__).parents[2] / "fixtures" / "parts" / "stock.json").read_text())
START = datetime.fromisoformat("2026-05-01T08:00:00Z")


def move_from(at: str, last: str, quantity: str, counted: str | None) -> Move:
    row = UUID(f"00000000-0000-7000-8000-0000000000{last}")
    return Move(datetime.fromisoformat(at), row, Decimal(quantity), None if counted is None else Decimal(counted))


@pytest.mark.parametrize("case", VECTORS["levels"], ids=lambda case: case["why"])
def test_levels(case: dict[str, Any]) -> None:
    moves = [move_from(*each) for each in case["moves"]]
    assert level_of(moves) == Decimal(case["level"])
    assert level_of(reversed(moves)) == Decimal(case["level"])


@pytest.mark.parametrize(("on_hand", "on_order", "minimum", "missing"), VECTORS["missing"])
def test_what_is_missing_to_the_minimum(on_hand: str, on_order: str, minimum: str, missing: str) -> None:
    assert missing_to_minimum(Decimal(on_hand), Decimal(on_order), Decimal(minimum)) == Decimal(missing)


quantities = st.integers(-400, 400).filter(bool).map(lambda quarters: Decimal(quarters) / 4)
counts = st.integers(0, 40).map(Decimal)
drawn_moves = st.lists(
    st.tuples(st.integers(0, 5), st.integers(0, 99), quantities, st.none() | counts),
    unique_by=lambda one: one[1],
    max_size=12,
)


@given(drawn_moves, st.randoms(use_true_random=False))
def test_the_level_does_not_depend_on_the_order_in_which_moves_arrive(drawn: list[Any], random: Random) -> None:
    """Against a second way: the greatest count splits the moves, and only what is after it is added."""
    moves = [Move(START + timedelta(hours=at), UUID(int=row), *figures) for at, row, *figures in drawn]
    found = [move for move in moves if move.counted_level is not None]
    last = max(found, key=lambda one: (one.moved_at, one.id), default=None)
    expected = Fraction(0 if last is None or last.counted_level is None else last.counted_level)
    for move in moves:
        if move.counted_level is None and (last is None or (move.moved_at, move.id) > (last.moved_at, last.id)):
            expected += Fraction(move.quantity)
    random.shuffle(moves)
    assert level_of(moves) == expected


@pytest.mark.parametrize(
    ("reason", "quantity", "code"),
    [
        ("arrived", "2", None),
        ("arrived", "-2", "moved_wrong_way"),
        ("sent_back", "-1", None),
        ("sent_back", "1", "moved_wrong_way"),
        ("written_off", "1", "moved_wrong_way"),
        ("fitted", "-1", None),
        ("fitted", "1", None),
        ("counted", "1", "move_has_own_command"),
        ("moved", "1", "move_has_own_command"),
    ],
)
def test_parts_move_the_way_that_their_reason_says(reason: str, quantity: str, code: str | None) -> None:
    data = StockMoveRecord(
        id=uuid7(),
        catalog_part_id=uuid7(),
        place_id=uuid7(),
        quantity=Decimal(quantity),
        reason=StockMoveReason(reason),
        moved_at=START,
    )
    assert [fault.code for fault in move_faults(data)] == ([code] if code else [])


def test_a_transfer_leads_to_another_place() -> None:
    place, part = uuid7(), uuid7()
    same = StockTransfer(
        id=uuid7(),
        arriving_id=uuid7(),
        catalog_part_id=part,
        from_place_id=place,
        to_place_id=place,
        quantity=Decimal(1),
        moved_at=START,
    )
    assert [fault.code for fault in transfer_faults(same)] == ["same_place"]
    assert transfer_faults(same.model_copy(update={"to_place_id": uuid7()})) == []
