"""What a calculator is: its inputs, its answer with the working, and where its rule comes from.

Every figure is an exact fraction, so that server and phone agree to the last digit; it is rounded where it is shown.
Steps, verdicts and sources are codes: the screens have the words. Twin: `pwa/src/domain/bench/calculators/answers.ts`.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from shopapi.core.quantities import UNITS, Quantity

PI = Fraction("3.14159265358979323846")


@dataclass(frozen=True)
class Figure:
    """A value in a unit; a plain number has no unit."""

    value: Fraction
    unit: str = ""

    @property
    def si(self) -> Fraction:
        """The value in the base unit of its quantity."""
        unit = UNITS.get(self.unit)
        return self.value * unit.factor + unit.offset if unit else self.value


def figure_in(unit: str, si: Fraction) -> Figure:
    """A value in base units as a figure in `unit`.

    >>> figure_in("mm", Fraction(1, 2))
    Figure(value=Fraction(500, 1), unit='mm')
    """
    return Figure((si - UNITS[unit].offset) / UNITS[unit].factor, unit)


def number(value: int | str) -> Figure:
    """A constant of a rule, as a figure of the working."""
    return Figure(Fraction(value))


@dataclass(frozen=True)
class Input:
    """One of `choices`, else a value in a unit of one of `quantities`; with neither it is a plain number.

    Values are above zero; with `low` and `high`, in base units, from `low` to `high`.
    """

    name: str
    quantities: tuple[Quantity, ...] = ()
    choices: tuple[str, ...] = ()
    optional: bool = False
    low: Fraction | None = None
    high: Fraction | None = None


@dataclass(frozen=True)
class Given:
    """The inputs as read and checked. Optional ones that were left empty are in neither."""

    figures: Mapping[str, Figure]
    choices: Mapping[str, str]

    def si(self, name: str) -> Fraction:
        return self.figures[name].si

    def unit(self, name: str) -> str:
        return self.figures[name].unit


@dataclass(frozen=True)
class WorkingStep:
    """One step of the working: the code of its sentence and the figures in it."""

    code: str
    figures: Mapping[str, Figure]


@dataclass(frozen=True)
class Calculation:
    """`results` by code, the main one first; `verdict` is empty where a calculator only calculates."""

    results: Mapping[str, Figure]
    steps: tuple[WorkingStep, ...]
    verdict: str = ""


@dataclass(frozen=True)
class Calculator:
    """`sources` are codes. `maker_first`: the rule is common practice, and the manufacturer's figure goes before it."""

    name: str
    inputs: tuple[Input, ...]
    calculate: Callable[[Given], Calculation]
    sources: tuple[str, ...]
    maker_first: bool = True
