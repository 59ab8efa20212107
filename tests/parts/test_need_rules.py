"""Rules of parts that a job needs: shared vectors, and the table of states."""

import json
from decimal import Decimal
from pathlib import Path
from typing import Any
from uuid import NAMESPACE_OID, UUID, uuid5

import pytest

from shopapi.parts.rules.accepted import AcceptedPart, KnownNeed, needs_to_follow
from shopapi.parts.rules.needs import PART_TRANSITIONS, PartState, waits_on_parts
from shopapi.parts.rules.searches import LONGEST_ANSWER, answer_with_alternative

FIXTURES = Path(__file__).parents[2] / "fixtures" / "parts"
NEEDS = json.loads((FIXTURES / "needs.json").read_text())
ACCEPTED = json.loads((FIXTURES / "accepted.json").read_text())


def named(name: str) -> UUID:
    return uuid5(NAMESPACE_OID, name)


@pytest.mark.parametrize("vector", NEEDS["waits"], ids=lambda vector: vector["name"])
def test_waits(vector: dict[str, Any]) -> None:
    assert waits_on_parts(vector["states"]) is vector["waits"]


@pytest.mark.parametrize("vector", NEEDS["answers"], ids=lambda vector: vector["kept"])
def test_answer_of_a_safety_item(vector: dict[str, Any]) -> None:
    assert answer_with_alternative(vector["answer"], vector["alternative"]) == vector["kept"]


def test_a_long_answer_still_fits_a_safety_item() -> None:
    assert len(answer_with_alternative("x" * LONGEST_ANSWER, "22-4")) == LONGEST_ANSWER


@pytest.mark.parametrize("vector", ACCEPTED, ids=lambda vector: vector["name"])
def test_needs_follow_a_decision(vector: dict[str, Any]) -> None:
    found = needs_to_follow(
        [
            AcceptedPart(named(line), number, description, Decimal(quantity))
            for line, number, description, quantity in vector["accepted"]
        ],
        [
            KnownNeed(named(need), None if line is None else named(line), number, description, PartState(state))
            for need, line, number, description, state in vector["known"]
        ],
        {named(line) for line in vector["former"]},
    )
    assert [part.line_id for part in found.added] == [named(line) for line in vector["added"]]
    taken_over = [(need, part.line_id) for need, part in found.taken_over.items()]
    assert taken_over == [(named(need), named(line)) for need, line in vector["taken_over"]]
    assert found.cancelled == [named(need) for need in vector["cancelled"]]


def test_a_part_can_be_fitted_unless_it_was_sent_back() -> None:
    """A fitting is a fact, and so applied in any state; these are the ones in which a screen offers it."""
    offered = {state for state, following in PART_TRANSITIONS.items() if PartState.FITTED in following}
    assert offered == set(PartState) - {PartState.FITTED, PartState.SENT_BACK}


def test_no_state_is_a_dead_end() -> None:
    assert all(PART_TRANSITIONS[state] for state in PartState)
