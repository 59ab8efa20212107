"""Number and strength of tie-downs.

By 49 CFR 393.100 to 393.136, as good practice below the weight from which it binds. Check local rules and the
manufacturer's manual; they may ask for more.

Working load limits (WLL) in the tables are pounds, as the tags on the gear print them; everything else is kilograms and
centimetres, and every comparison is between fractions, so that a figure exactly on a limit is within it.
Shares of weight that an article must withstand (393.102): 0.435 forward, 0.5 back, 0.25 to each side.
Twin of the counts: `pwa/src/domain/dispatch/tieDowns.ts`, both run by the vectors of `fixtures/dispatch`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import ceil
from typing import Literal

from shopapi.core.units import KG_A_POUND, LENGTHS

CM_A_FOOT = LENGTHS["ft"]
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
    """One assembly. `parts`: WLL of strap or chain, hooks, tensioner and anchor points; the weakest counts.

    `crosses`: from one side of the deck over the machine to the other side; otherwise it is direct, or comes back to
    the side it began on, and only half of it counts (393.106(d)).
    """

    parts: tuple[Fraction | int, ...]
    crosses: bool = False

    @property
    def wll(self) -> Fraction:
        return Fraction(min(self.parts))

    @property
    def counts(self) -> Fraction:
        """Its share of the aggregate working load limit."""
        return self.wll if self.crosses else self.wll / 2


@dataclass(frozen=True)
class TieDownCheck:
    """Required and present, in pieces and kilograms."""

    needed: int
    there: int
    needed_kg: Fraction
    there_kg: Fraction

    @property
    def holds(self) -> bool:
        return self.there >= self.needed and self.there_kg >= self.needed_kg


def chain_wll(size: str, grade: Grade = "30") -> Fraction:
    """Kilograms. Raises KeyError for a size or grade that the table does not have: then the chain's tag has to say."""
    return CHAIN[size][grade] * KG_A_POUND


def count_by_length(cm: Fraction | int, kg: Fraction | int, *, blocked: bool = False) -> int:
    """The least number of tie-downs of an article (393.110). `blocked`: it cannot move forward."""
    feet = Fraction(cm) / CM_A_FOOT
    if blocked:
        return max(1, ceil(feet / 10))
    if feet <= 5:
        return 1 if Fraction(kg) <= 1100 * KG_A_POUND else 2
    return 2 + max(0, ceil((feet - 10) / 10))


# A search asks for the same few machines again and again.
@lru_cache(maxsize=1024)
def count_of_machine(
    cm: Fraction | int | None,
    kg: Fraction | int | None,
    *,
    shop_least: int,
    each: TieDown | None = None,
    blocked: bool = False,
) -> int:
    """The least number for one machine on wheels or tracks, with implements lowered.

    As many as its length asks for (393.110), no fewer than the shop's own setting, four over 10,000 lb (393.130), and
    of tie-downs as strong as `each` so many that they hold half the machine's weight together (393.106(d)). A measure
    that nobody entered asks for nothing beyond the shop's setting.
    """
    least = shop_least
    if kg is not None:
        if Fraction(kg) > HEAVY_POUNDS * KG_A_POUND:
            least = max(4, least)
        if each is not None:
            least = max(least, ceil(Fraction(kg) / 2 / each.counts))
        if cm is not None:
            least = max(least, count_by_length(cm, kg, blocked=blocked))
    return least


def check_tie_downs(kg: Fraction | int, needed: int, tie_downs: Sequence[TieDown]) -> TieDownCheck:
    """The aggregate working load limit of tie-downs against the weight: at least half of it (393.106(d))."""
    there = sum((tie.counts for tie in tie_downs), Fraction(0))
    return TieDownCheck(needed, len(tie_downs), Fraction(kg) / 2, there)
