"""The order of putting back: shared vectors, networkx as another implementation, published counts of orders."""

import json
from functools import partial
from itertools import permutations
from pathlib import Path
from typing import Any

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopapi.bench.rules.put_back import OrderStep, edges_of, put_back_order
from shopapi.bench.rules.removal import RemovalKind

VECTORS = json.loads((Path(__file__).parents[2] / "fixtures" / "bench" / "put_back.json").read_text())
Rules = list[tuple[str, str]]


def a_step(name: str, kind: str = "part", behind_id: str | None = None, *hidden: bool) -> OrderStep:
    return OrderStep(name, RemovalKind(kind), behind_id, any(hidden))


@pytest.mark.parametrize("vector", VECTORS, ids=lambda vector: vector["name"])
def test_vectors(vector: dict[str, Any]) -> None:
    found = put_back_order([a_step(*step) for step in vector["steps"]], [(a, b) for a, b in vector["rules"]])
    assert list(found.order) == vector["order"]
    assert [[each.id, each.after_id, each.reason] for each in found.moved] == vector["moved"]
    assert [[each.id, each.after_id, each.reason] for each in found.circle] == vector["circle"]


# Numbers of linear extensions: the N-poset 5, a chain of three beside one of two 10 (5! / (3! 2!)), the Boolean lattice
# of three elements 48. OEIS A046873 has the lattices (1, 2, 48); the others are counted by hand.
N_POSET = [("a", "c"), ("b", "c"), ("b", "d")]
CHAINS = [("a", "b"), ("b", "c"), ("d", "e")]
LATTICE = [(f"{low:03b}", f"{low | bit:03b}") for low in range(8) for bit in (1, 2, 4) if low & bit == 0]


def map_all(priority: dict[str, int], order: tuple[str, ...]) -> list[int]:
    return [priority[name] for name in order]


@pytest.mark.parametrize(
    ("rules", "count"), [(N_POSET, 5), (CHAINS, 10), (LATTICE, 48)], ids=["N", "two chains", "Boolean lattice"]
)
def test_of_all_orders_that_keep_the_rules_it_is_the_nearest_to_the_reverse(rules: Rules, count: int) -> None:
    names = sorted({name for rule in rules for name in rule})
    for taken_apart in (names, names[::-1], names[1::2] + names[::2]):
        priority = {name: at for at, name in enumerate(reversed(taken_apart))}
        kept = [
            order
            for order in permutations(names)
            if all(order.index(before) < order.index(after) for before, after in rules)
        ]
        assert len(kept) == count
        nearest = min(kept, key=partial(map_all, priority))
        assert put_back_order([a_step(name) for name in taken_apart], rules).order == nearest


names = st.integers(1, 14).map(lambda count: [f"s{number:02}" for number in range(count)])


@st.composite
def a_job(draw: st.DrawFn) -> tuple[list[OrderStep], Rules]:
    """Steps of all kinds, some behind others, with rules about them, contradicting ones too."""
    ids = draw(names)
    one = st.sampled_from(ids)
    steps = [
        OrderStep(each, draw(st.sampled_from(list(RemovalKind))), draw(st.none() | one), draw(st.booleans()))
        for each in ids
    ]
    return steps, draw(st.lists(st.tuples(one, one), max_size=8))


def graph_of(steps: list[OrderStep], rules: Rules) -> "nx.DiGraph[int]":
    graph = nx.DiGraph()
    graph.add_nodes_from(range(len(steps)))
    graph.add_edges_from(edges_of(steps[::-1], rules))
    return graph


@given(a_job())
def test_networkx_gives_the_same_order_or_finds_a_circle_too(job: tuple[list[OrderStep], Rules]) -> None:
    steps, rules = job
    graph, found = graph_of(steps, rules), put_back_order(steps, rules)
    reverse = [step.id for step in reversed(steps)]
    if found.circle:
        number = {name: at for at, name in enumerate(reverse)}
        assert all(graph.has_edge(number[each.id], number[each.after_id]) for each in found.circle)
        # The girth: no circle is shorter.
        assert len(found.circle) == min(len(circle) for circle in nx.simple_cycles(graph, len(found.circle)))
        assert list(found.order) == reverse
    else:
        assert list(found.order) == [reverse[at] for at in nx.lexicographical_topological_sort(graph)]


@given(a_job())
def test_each_moved_step_comes_right_after_it_could(job: tuple[list[OrderStep], Rules]) -> None:
    steps, rules = job
    found = put_back_order(steps, rules)
    assert sorted(found.order) == sorted(step.id for step in steps)
    place = {name: at for at, name in enumerate(found.order)}
    assert all(place[each.after_id] < place[each.id] for each in found.moved)
    if not found.circle and not found.moved:
        assert list(found.order) == [step.id for step in reversed(steps)]


@given(names)
def test_without_rules_it_is_the_exact_reverse(ids: list[str]) -> None:
    found = put_back_order([a_step(each) for each in ids], [])
    assert (list(found.order), found.moved, found.circle) == (ids[::-1], (), ())


def test_five_hundred_steps() -> None:
    kinds = list(RemovalKind)
    steps = [OrderStep(str(number), kinds[number % len(kinds)]) for number in range(500)]
    found = put_back_order(steps, [(str(number), str(number + 1)) for number in range(0, 480, 16)])
    assert sorted(found.order, key=int) == [step.id for step in steps]
    assert not found.circle
