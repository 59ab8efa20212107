"""The ledger of fasteners: what is still open, which places are empty, what was likely swapped, what is not tightened.

The equation and the words are in `fasteners.py`. It is drawn up by size (thread, length, grade, head) and by place,
since two swapped lengths balance by size while neither place has what it had. What is missing at places is paired with
what is too much at others by the cheapest matching, which names the likeliest swap. The weights are ours: another place
is likelier than another length, a near length likelier than a far one, another thread least likely.
Twin: `pwa/src/domain/bench/ledger.ts`; both run `fixtures/bench/ledger.json`.
"""

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import floor

from shopapi.bench.rules.fasteners import FastenerMoveKind
from shopapi.bench.rules.matching import match_cheapest

Size = tuple[str, str, str, str]
Kind = FastenerMoveKind
OTHER_PLACE, OTHER_GRADE, OTHER_HEAD, OTHER_LENGTH, OTHER_THREAD = 1, 5, 5, 10, 1000
FARTHEST_MM = 80
TIMES = "\N{MULTIPLICATION SIGN}"
FRACTION = re.compile(r'(?:([0-9]+)[ -]+)?([0-9]+)/([1-9][0-9]*) *(?:in|")?')
NUMBER = re.compile(r'([0-9]+(?:\.[0-9]+)?) *(mm|in|")?')
MM_AN_INCH = Fraction("25.4")


@dataclass(frozen=True)
class LedgerFastener:
    """A fastener row as the ledger needs it. `loosened`: nothing came out, it only has to be tightened again."""

    id: str
    thread: str
    count: int
    length: str = ""
    grade: str = ""
    head: str = ""
    loosened: bool = False
    torque_critical: bool = False

    @property
    def size(self) -> Size:
        """Its size as it is compared: "m8 X 1.25" and "M8x1.25" are one."""
        return plain(self.thread), plain(self.length), plain(self.grade), plain(self.head)

    @property
    def needed(self) -> int:
        return 0 if self.loosened else self.count


@dataclass(frozen=True)
class LedgerMove:
    """A move as the ledger needs it. `tightened_to`: torque and unit as typed, "25 N.m"."""

    fastener_id: str
    kind: Kind
    count: int
    at_id: str | None = None
    tightened_to: str = ""


@dataclass(frozen=True)
class SizeLine:
    """The account of one size. `fastener_id`: the first fastener that has it."""

    fastener_id: str
    out: int
    new: int
    back: int
    replaced: int
    scrapped: int
    spare: int

    @property
    def open(self) -> int:
        """How many are not accounted for; below zero: more are than there were."""
        return self.out + self.new - self.back - self.replaced - self.scrapped - self.spare


@dataclass(frozen=True)
class PlaceLine:
    """A place that does not have what it had: how many it needs, has in its size, and has in others."""

    fastener_id: str
    needed: int
    right: int
    wrong: int


@dataclass(frozen=True)
class Swap:
    """`count` of the size of `extra_id` are too many at the place of `extra_at_id`; `missing_id` lacks as many."""

    missing_id: str
    extra_id: str
    extra_at_id: str
    count: int


@dataclass(frozen=True)
class Ledger:
    """`sizes`: every size. `places`: those that are not as they were. `torque_open`: critical ones not done."""

    sizes: tuple[SizeLine, ...]
    places: tuple[PlaceLine, ...]
    swaps: tuple[Swap, ...]
    torque_open: tuple[str, ...]


def draw_up_ledger(fasteners: Sequence[LedgerFastener], moves: Iterable[LedgerMove]) -> Ledger:
    """The ledger of a job's fasteners. Moves of unknown fasteners are passed over."""
    by_id = {each.id: each for each in fasteners}
    first_of: dict[Size, str] = {}
    for each in fasteners:
        first_of.setdefault(each.size, each.id)
    totals: defaultdict[Size, Counter[str]] = defaultdict(Counter)
    # How many of each size a place was given.
    filled: defaultdict[str, Counter[Size]] = defaultdict(Counter)
    tightened: defaultdict[str, Counter[str]] = defaultdict(Counter)
    for each in fasteners:
        totals[each.size]["out"] += each.needed
    for move in moves:
        moved = by_id.get(move.fastener_id)
        if moved is None:
            continue
        if move.kind == Kind.TIGHTENED:
            tightened[moved.id][move.tightened_to] += move.count
            continue
        totals[moved.size][move.kind] += move.count
        if move.kind == Kind.BACK:
            filled[move.at_id if move.at_id in by_id else moved.id][moved.size] += move.count
    sizes = tuple(
        SizeLine(
            first_of[size],
            count["out"],
            count[Kind.NEW],
            count[Kind.BACK],
            count[Kind.REPLACED],
            count[Kind.SCRAPPED],
            count[Kind.SPARE],
        )
        for size, count in totals.items()
    )
    places = tuple(line for each in fasteners if (line := _place(each, filled[each.id])))
    torque_open = tuple(
        each.id
        for each in fasteners
        if each.torque_critical
        and (filled[each.id][each.size] < each.needed or max(tightened[each.id].values(), default=0) < each.count)
    )
    return Ledger(sizes, places, _swaps(fasteners, filled, first_of), torque_open)


def _place(fastener: LedgerFastener, has: Mapping[Size, int]) -> PlaceLine | None:
    right = has.get(fastener.size, 0)
    wrong = sum(count for size, count in has.items() if size != fastener.size)
    if right == fastener.needed and wrong == 0:
        return None
    return PlaceLine(fastener.id, fastener.needed, right, wrong)


def _swaps(
    fasteners: Sequence[LedgerFastener], filled: Mapping[str, Counter[Size]], first_of: Mapping[Size, str]
) -> tuple[Swap, ...]:
    missing = [each for each in fasteners for _ in range(max(0, each.needed - filled[each.id][each.size]))]
    # Of each place in order: sizes too many, in the order of the fasteners that have them first.
    sizes = list(first_of)
    extra = [
        (first_of[size], each.id)
        for each in fasteners
        for size in sorted(filled[each.id], key=sizes.index)
        for _ in range(max(0, filled[each.id][size] - (each.needed if size == each.size else 0)))
    ]
    by_id = {each.id: each for each in fasteners}
    costs = [[swap_cost(lacking, by_id[size_of], at) for size_of, at in extra] for lacking in missing]
    found: Counter[tuple[str, str, str]] = Counter()
    for row, column in match_cheapest(costs):
        found[missing[row].id, *extra[column]] += 1
    return tuple(Swap(*pair, count) for pair, count in found.items())


def swap_cost(lacking: LedgerFastener, extra: LedgerFastener, extra_at_id: str) -> int:
    """How unlikely it is that one of `extra`, now at a place, belongs where one is lacking."""
    cost = 0 if lacking.id == extra_at_id else OTHER_PLACE
    mine, other = lacking.size, extra.size
    cost += 0 if mine[0] == other[0] else OTHER_THREAD
    if mine[1] != other[1]:
        a, b = length_mm(lacking.length, lacking.thread), length_mm(extra.length, extra.thread)
        apart = FARTHEST_MM if a is None or b is None else min(FARTHEST_MM, floor(abs(a - b)))
        cost += OTHER_LENGTH + apart
    cost += 0 if mine[2] == other[2] else OTHER_GRADE
    return cost + (0 if mine[3] == other[3] else OTHER_HEAD)


def plain(typed: str) -> str:
    """What is typed, as it is compared.

    >>> plain("M8 x 1.25 ")
    'm8x1.25'
    """
    return "".join(typed.lower().replace(TIMES, "x").split())


def length_mm(length: str, thread: str) -> Fraction | None:
    """A typed length in millimetres; without a unit in that of its thread (mm for "M8", else in). None: no length.

    >>> length_mm("40", "M8"), length_mm("1 1/4", "5/16-18"), length_mm("short", "M8")
    (Fraction(40, 1), Fraction(127, 4), None)
    """
    typed = length.strip().lower()
    if found := FRACTION.fullmatch(typed):
        whole, above, below = found.groups()
        return (int(whole or 0) + Fraction(int(above), int(below))) * MM_AN_INCH
    if not (found := NUMBER.fullmatch(typed)):
        return None
    number, unit = found.groups()
    metric = unit == "mm" or (unit is None and plain(thread).startswith("m"))
    return Fraction(number) * (1 if metric else MM_AN_INCH)
