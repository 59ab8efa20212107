"""Reads the inputs of a calculator and refuses what cannot be right, naming each field at fault.

Twin: `pwa/src/domain/bench/calculators/inputs.ts`.
"""

import re
from collections.abc import Mapping, Sequence
from fractions import Fraction

from shopapi.bench.rules.calculators.answers import Calculation, Calculator, Figure, Given, Input
from shopapi.core.errors import FieldError, Invalid, refuse_faults
from shopapi.core.quantities import UNITS

# Digits as in `core.schema.DecimalText`: at most 12 before the point and 6 after.
PLAIN = re.compile(r"-?[0-9]{1,12}(\.[0-9]{1,6})?")


def refuse(field: str, code: str) -> Invalid:
    """The refusal of one field, for what only the calculator itself can check."""
    return Invalid("invalid", fields=[FieldError(field, code)])


def calculate(calculator: Calculator, given: Mapping[str, str]) -> Calculation:
    """The answer to inputs as typed: "25.5 lbf.ft" for a measure, "50" for a number, a key for a choice.

    Raises Invalid with a FieldError for each input that is missing, no number, in a wrong unit or beyond its range.
    """
    return calculator.calculate(read_inputs(calculator.inputs, given))


def read_inputs(inputs: Sequence[Input], given: Mapping[str, str]) -> Given:
    """The inputs as figures and choices. Raises Invalid."""
    figures: dict[str, Figure] = {}
    choices: dict[str, str] = {}
    faults: list[FieldError] = []
    for each in inputs:
        typed = given.get(each.name, "")
        if not typed:
            if not each.optional:
                faults.append(FieldError(each.name, "input_missing"))
        elif each.choices:
            choices[each.name] = typed
            if typed not in each.choices:
                faults.append(FieldError(each.name, "choice_unknown"))
        else:
            figure = _figure(each, typed)
            if isinstance(figure, Figure):
                figures[each.name] = figure
            else:
                faults.append(FieldError(each.name, figure))
    refuse_faults(faults)
    return Given(figures, choices)


def _figure(each: Input, typed: str) -> Figure | str:
    """The figure, or the code of what is wrong with it."""
    amount, _, unit = typed.partition(" ")
    if not PLAIN.fullmatch(amount):
        return "number_unreadable"
    if each.quantities and unit not in UNITS:
        return "unit_unknown"
    if UNITS[unit].quantity not in each.quantities if each.quantities else unit:
        return "unit_misfit"
    figure = Figure(Fraction(amount), unit)
    if each.low is None and each.high is None:
        return figure if figure.value > 0 else "not_above_zero"
    too_low = each.low is not None and figure.si < each.low
    too_high = each.high is not None and figure.si > each.high
    return "figure_improbable" if too_low or too_high else figure
