"""How many tie-downs, and how strong together.

By 49 CFR 393.100 to 393.136, as good practice below the weight from which it binds. Check local law and the maker's
book; they may ask for more.

Working load limits (WLL) are in pounds, as the tables and the tags on the gear print them; weights of articles are
kilograms. Shares of weight that an article must withstand (393.102): 0.435 forward, 0.5 back, 0.25 to each side.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from typing import Literal

KG_A_POUND = 0.45359237
METRES_A_FOOT = 0.3048
# Over this a wheeled or tracked machine takes four tie-downs (393.130); below it, the shop's own setting.
HEAVY_POUNDS = 10_000

Grade = Literal["30", "43", "70", "80", "100"]

# 393.108, tables: default WLL in pounds by nominal size in inches. Unmarked chain counts as grade 30.
CHAIN: dict[str, dict[Grade, int]] = {
    "1/4": {"30": 1300, "43": 2600, "70": 3150, "80": 3500, "100": 4300},
    "5/16": {"30": 1900, "43": 3900, "70": 4700, "80": 4500, "100": 5700},
    "3/8": {"30": 2650, "43": 5400, "70": 6600, "80": 7100, "100": 8800},
    "7/16": {"30": 3700, "43": 7200, "70": 8750},
    "1/2": {"30": 4500, "43": 9200, "70": 11300, "80": 12000, "100": 15000},
}
WEBBING: dict[str, int] = {"1 3/4": 1750, "2": 2000, "3": 3000, "4": 4000}


@dataclass(frozen=True)
class TieDown:
    """One assembly. `parts`: WLL in pounds of strap or chain, hooks, tensioner and anchor points: the weakest counts.

    `crosses`: from one side of the deck over the machine to the other side; otherwise it is direct, or comes back to
    the side it began on, and only half of it counts (393.106(d)).
    """

    parts: tuple[int, ...]
    crosses: bool = False

    @property
    def wll(self) -> int:
        return min(self.parts)

    @property
    def counts(self) -> float:
        return self.wll if self.crosses else self.wll / 2


@dataclass(frozen=True)
class Holding:
    """What is needed and what is there, in pieces and pounds."""

    needed: int
    there: int
    needed_pounds: float
    there_pounds: float

    @property
    def holds(self) -> bool:
        return self.there >= self.needed and self.there_pounds >= self.needed_pounds


def chain_wll(size: str, grade: Grade = "30") -> int:
    """Raises KeyError for a size or grade that the table does not have: then the tag on the chain has to say."""
    return CHAIN[size][grade]


def count_by_length(metres: float, kg: float, *, blocked: bool = False) -> int:
    """The least number of tie-downs of an article (393.110). `blocked`: it cannot move forward."""
    # A hair under a foot's worth of rounding, so that 10 ft given in metres stays 10 ft.
    feet, pounds = round(metres / METRES_A_FOOT, 6), round(kg / KG_A_POUND, 6)
    if blocked:
        return max(1, ceil(feet / 10))
    if feet <= 5:
        return 1 if pounds <= 1100 else 2
    return 2 + max(0, ceil((feet - 10) / 10))


def count_of_machine(metres: float, kg: float, *, blocked: bool = False, shop_least: int = 4) -> int:
    """The least number for a machine on wheels or tracks: by its length, and no fewer than the shop's own setting.

    Over 10,000 lb it is four in any case (393.130), with implements lowered.
    """
    least = max(4, shop_least) if kg / KG_A_POUND > HEAVY_POUNDS else shop_least
    return max(least, count_by_length(metres, kg, blocked=blocked))


def holding(kg: float, needed: int, tie_downs: Sequence[TieDown]) -> Holding:
    """The tie-downs against the weight: together at least half of it (393.106(d))."""
    return Holding(needed, len(tie_downs), kg / KG_A_POUND / 2, sum(tie.counts for tie in tie_downs))
