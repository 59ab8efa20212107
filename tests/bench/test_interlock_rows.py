"""The interlock test table against published test procedures and the logic that reproduces them.

Sources: a Hayter/Toro garden tractor manual p. 21, John Deere BM24647 p. 19, a zero-turn manual p. 24; 16 CFR
1205.5(a)(1) for walk-behind mowers, items (i) and (ii) from memory.
"""

import json
from pathlib import Path
from typing import NamedTuple

import pytest

from shopapi.bench.rules.interlock_rows import EXPECTED, OPPOSITE, ROWS

VECTORS = json.loads((Path(__file__).parents[2] / "fixtures" / "bench" / "interlock_rows.json").read_text())


class State(NamedTuple):
    """The controls, as the published rows set them."""

    running: bool
    seat: bool = True
    brake: bool = True
    pto: bool = False
    neutral: bool = True
    reverse: bool = False
    override: bool = False


STATES = {
    "start_pto_on": State(running=False, pto=True),
    "start_brake_off": State(running=False, brake=False),
    "start_lever_out": State(running=False, neutral=False),
    "start_all_set": State(running=False),
    "rise_brake_off": State(running=True, seat=False, brake=False),
    "rise_pto_on": State(running=True, seat=False, pto=True),
    "rise_all_set": State(running=True, seat=False),
    "reverse_pto_on": State(running=True, brake=False, pto=True, neutral=False, reverse=True),
    "reverse_override": State(running=True, brake=False, pto=True, neutral=False, reverse=True, override=True),
}


def behavior(state: State) -> str:
    """The published logic: what cranks, and what stops the engine."""
    if not state.running:
        return "cranks" if state.brake and not state.pto and state.neutral else "no_crank"
    left = not state.seat and (state.pto or not state.brake)
    return "stops" if left or (state.reverse and state.pto and not state.override) else "keeps_running"


@pytest.mark.parametrize("row", STATES)
def test_the_published_logic_gives_every_row(row: str) -> None:
    assert behavior(STATES[row]) == EXPECTED[row]


def test_the_table_is_that_of_the_phone() -> None:
    assert {
        "expected": EXPECTED,
        "opposite": OPPOSITE,
        "rows": {of: list(rows) for of, rows in ROWS.items()},
    } == VECTORS


def test_every_row_is_used_and_has_an_opposite() -> None:
    assert {row for rows in ROWS.values() for row in rows} == set(EXPECTED)
    assert set(EXPECTED.values()) <= set(OPPOSITE)
    assert set(STATES) == {row for row in EXPECTED if row not in ROWS["walk_behind"]}
