"""Putting back: the order, the rules that bend it, and the shortest circle where they contradict each other.

The order starts from the exact reverse of taking apart. Every rule "this before that" is an edge of a graph, and Kahn's
algorithm (1962) takes of the steps that are free the one that comes first in the reverse, so that the result is, of all
orders that keep the rules, the lexicographically nearest to the reverse. Built-in rules are common practice, no source:
a belt goes on before a cover, oil is filled before air is bled, guards come after all other parts, the engine is run
for a test only with its guards on and after the interlock test, and what is behind a cover goes in before that cover.
A rule of the job beats a built-in one about the same two steps. An order never holds anybody up: it is a proposal.
Twin: `pwa/src/domain/bench/putBack.ts`; both run `fixtures/bench/put_back.json`.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush
from itertools import product
from typing import Annotated
from uuid import UUID

from pydantic import Field

from shopapi.bench.rules.removal import RemovalKind
from shopapi.core.enums import TextEnum
from shopapi.core.schema import Row, Schema, Text


class PutBackReason(TextEnum):
    """Why a step comes before another. RULE: somebody said so, with words; the others follow from the steps."""

    RULE = "rule"
    HIDDEN = "hidden"
    BEHIND = "behind"
    BELT_COVER = "belt_cover"
    FILL_BLEED = "fill_bleed"
    GUARDS_LAST = "guards_last"
    TESTS_LAST = "tests_last"
    INTERLOCK_RUN = "interlock_run"


class RuleRecord(Schema):
    """One step of a job that has to be put back before another, and why."""

    id: UUID
    job_id: UUID
    before_id: UUID
    after_id: UUID
    reason: Annotated[Text, Field(max_length=200)] = ""


class PutBackRuleRow(Row):
    job_id: UUID
    before_id: UUID
    after_id: UUID
    reason: str


@dataclass(frozen=True)
class OrderStep:
    """A step as the order needs it. `hidden`: one of its fasteners cannot be seen or reached later."""

    id: str
    kind: RemovalKind = RemovalKind.PART
    behind_id: str | None = None
    hidden: bool = False


@dataclass(frozen=True)
class Moved:
    """A step that is not where the reverse has it: it waits for another. Of a circle: the next step of the circle."""

    id: str
    after_id: str
    reason: PutBackReason


@dataclass(frozen=True)
class PutBackOrder:
    """Ids of steps in order; `moved` in the same order. With a `circle` the order is the plain reverse."""

    order: tuple[str, ...]
    moved: tuple[Moved, ...] = ()
    circle: tuple[Moved, ...] = ()


Edges = Mapping[tuple[int, int], PutBackReason]
TESTS = (RemovalKind.INTERLOCK_TEST, RemovalKind.RUN_TEST)


def put_back_order(taken_apart: Sequence[OrderStep], rules: Sequence[tuple[str, str]]) -> PutBackOrder:
    """The order of putting back. `taken_apart`: steps as they were taken apart; `rules`: pairs of ids, (before, after).

    Rules about unknown steps are passed over.

    >>> hood, belt, deck = OrderStep("hood"), OrderStep("belt"), OrderStep("deck")
    >>> put_back_order([hood, belt, deck], []).order
    ('deck', 'belt', 'hood')
    >>> put_back_order([hood, belt, deck], [("belt", "deck")]).order
    ('belt', 'deck', 'hood')
    """
    steps = tuple(reversed(taken_apart))
    edges = edges_of(steps, rules)
    before: list[list[int]] = [[] for _ in steps]
    after: list[list[int]] = [[] for _ in steps]
    for first, second in edges:
        before[second].append(first)
        after[first].append(second)
    waits = [len(each) for each in before]
    free = [at for at, count in enumerate(waits) if count == 0]
    heapify(free)
    order: list[int] = []
    while free:
        at = heappop(free)
        order.append(at)
        for later in after[at]:
            waits[later] -= 1
            if waits[later] == 0:
                heappush(free, later)
    if len(order) < len(steps):
        found = _shortest_circle(after, [at for at, count in enumerate(waits) if count > 0])
        around = zip(found, [*found[1:], found[0]], strict=True)
        circle = tuple(Moved(steps[a].id, steps[b].id, edges[a, b]) for a, b in around)
        return PutBackOrder(tuple(step.id for step in steps), circle=circle)
    return PutBackOrder(tuple(steps[at].id for at in order), tuple(_moved(steps, order, before, edges)))


def _moved(
    steps: Sequence[OrderStep], order: Sequence[int], before: Sequence[Sequence[int]], edges: Edges
) -> Iterator[Moved]:
    """Steps that something overtook which is later in the reverse, each with the last step that it waited for."""
    placed = {at: number for number, at in enumerate(order)}
    furthest = -1
    for at in order:
        if at < furthest:
            last = max(before[at], key=placed.__getitem__)
            yield Moved(steps[at].id, steps[last].id, edges[last, at])
        furthest = max(furthest, at)


def edges_of(steps: Sequence[OrderStep], rules: Sequence[tuple[str, str]]) -> Edges:
    """Which step comes before which and why, by their numbers in the reverse order, in which `steps` are."""
    number = {step.id: at for at, step in enumerate(steps)}
    said = [(number[a], number[b]) for a, b in rules if a in number and b in number and a != b]
    edges = dict.fromkeys(said, PutBackReason.RULE)
    told = set(said)
    for at, step in enumerate(steps):
        cover = number.get(step.behind_id or "")
        if cover is None and step.hidden:
            # The cover that came off last before it: later in the reverse.
            later = range(at + 1, len(steps))
            cover = next((each for each in later if steps[each].kind == RemovalKind.COVER), None)
        if cover is not None and cover != at and (cover, at) not in told:
            edges.setdefault((at, cover), PutBackReason.HIDDEN if step.hidden else PutBackReason.BEHIND)
    for pair, reason in _built_in(steps):
        if (pair[1], pair[0]) not in told:
            edges.setdefault(pair, reason)
    return edges


def _built_in(steps: Sequence[OrderStep]) -> Iterator[tuple[tuple[int, int], PutBackReason]]:
    of = {kind: [at for at, step in enumerate(steps) if step.kind == kind] for kind in RemovalKind}
    parts = [at for at, step in enumerate(steps) if step.kind not in {RemovalKind.GUARD, *TESTS}]
    tests = [at for at, step in enumerate(steps) if step.kind in TESTS]
    for reason, first, second in (
        (PutBackReason.BELT_COVER, of[RemovalKind.BELT], of[RemovalKind.COVER]),
        (PutBackReason.FILL_BLEED, of[RemovalKind.FILL], of[RemovalKind.BLEED]),
        (PutBackReason.GUARDS_LAST, parts, of[RemovalKind.GUARD]),
        (PutBackReason.TESTS_LAST, of[RemovalKind.GUARD] or parts, tests),
        (PutBackReason.INTERLOCK_RUN, of[RemovalKind.INTERLOCK_TEST], of[RemovalKind.RUN_TEST]),
    ):
        for pair in product(first, second):
            yield pair, reason


def _shortest_circle(after: Sequence[Sequence[int]], left: Sequence[int]) -> list[int]:
    """The shortest circle among the steps left over; of equal ones the one with the earliest step in the reverse."""
    shortest: list[int] = []
    inside = set(left)
    for start in left:
        came_from = {start: start}
        queue = [start]
        for at in queue:
            if shortest and _steps_to(came_from, at) >= len(shortest):
                break
            if start in after[at]:
                shortest = _path(came_from, at)
                break
            for later in sorted(after[at]):
                if later in inside and later not in came_from:
                    came_from[later] = at
                    queue.append(later)
    return shortest


def _path(came_from: Mapping[int, int], at: int) -> list[int]:
    path = [at]
    while came_from[path[-1]] != path[-1]:
        path.append(came_from[path[-1]])
    return path[::-1]


def _steps_to(came_from: Mapping[int, int], at: int) -> int:
    return len(_path(came_from, at))
