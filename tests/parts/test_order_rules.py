"""Orders, arrivals and returns: the vectors that the phone runs too, and what always holds of them."""

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopapi.core.ids import uuid7
from shopapi.parts.rules.arrivals import ArrivalCondition, Arrived, good_of
from shopapi.parts.rules.order_text import TextLine, lines_text
from shopapi.parts.rules.orders import (
    ORDER_TRANSITIONS,
    LineAnswer,
    LineStatus,
    OrderState,
    need_state,
    state_after,
)
from shopapi.parts.rules.returns import RETURN_TRANSITIONS, ReturnState, owed, state_when_refunded

FIXTURES = Path(__file__).parents[2] / "fixtures" / "parts"


def vectors(name: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads((FIXTURES / f"{name}.json").read_text())
    return found


@pytest.mark.parametrize("vector", vectors("orders"), ids=lambda vector: vector["name"])
def test_order_vectors(vector: dict[str, Any]) -> None:
    ids = {each[0]: uuid7() for line in vector["lines"] for each in line["arrivals"]} | {None: None}
    statuses = []
    for line in vector["lines"]:
        arrived = [
            Arrived(ids[name], Decimal(count), ArrivalCondition(condition), ids[undoes])  # type: ignore[arg-type] # an id
            for name, count, condition, undoes in line["arrivals"]
        ]
        statuses.append(LineStatus(Decimal(line["quantity"]), LineAnswer(line["answer"]), good_of(arrived)))
    after = state_after(OrderState(vector["state"]), statuses)
    assert after == vector["after"]
    for line, status in zip(vector["lines"], statuses, strict=True):
        assert (status.good, status.open) == (Decimal(line["good"]), Decimal(line["open"]))
        assert need_state(after, status) == line["need"]


@pytest.mark.parametrize("vector", vectors("returns"), ids=lambda vector: vector["name"])
def test_return_vectors(vector: dict[str, Any]) -> None:
    state, expected, refunded = ReturnState(vector["state"]), vector["expected"], vector["refunded"]
    assert owed(state, expected, refunded) == vector["owed"]
    in_all = (refunded or 0) + vector["adds"]
    flags = {"was_sent": vector["was_sent"], "rest_lost": vector["rest_lost"]}
    after = state_when_refunded(state, expected, in_all, **flags)
    assert after == vector["after"]
    assert after == state or after in RETURN_TRANSITIONS[state]


@pytest.mark.parametrize("vector", vectors("order_texts"), ids=lambda vector: vector["name"])
def test_text_vectors(vector: dict[str, Any]) -> None:
    lines = [TextLine(Decimal(quantity), number, described) for quantity, number, described in vector["lines"]]
    assert lines_text(lines, customer_number=vector["customer_number"], note=vector["note"]) == vector["text"]


quantities = st.integers(1, 10**6).map(lambda millionths: Decimal(millionths).scaleb(-3))
line_statuses = st.builds(
    LineStatus, quantities, st.sampled_from(LineAnswer), st.one_of(st.just(Decimal(0)), quantities)
)


@given(st.sampled_from([OrderState.SENT, OrderState.CONFIRMED, OrderState.CLOSED]), st.lists(line_statuses, max_size=5))
def test_an_order_moves_only_as_its_table_says_and_is_closed_exactly_when_nothing_is_to_come(
    state: OrderState, lines: list[LineStatus]
) -> None:
    after = state_after(state, lines)
    assert after == state or after in ORDER_TRANSITIONS[state]
    assert (after == OrderState.CLOSED) == all(line.open == 0 for line in lines)
    assert state_after(after, lines) == after


@given(line_statuses)
def test_what_came_and_what_is_open_make_what_was_ordered(line: LineStatus) -> None:
    if line.answer in (LineAnswer.NO_LONGER_MADE, LineAnswer.DROPPED):
        assert line.open == 0
    else:
        assert line.open == max(line.quantity - line.good, 0)
