"""Weights and lengths in the shop's units, as digits and a unit symbol that need no translation."""

from math import ceil


def weight_text(kg: float, *, pounds: bool) -> str:
    return f"{round(kg / 0.45359237):,} lb" if pounds else f"{round(kg):,} kg"


def length_text(cm: float, *, inches: bool) -> str:
    return f"{round(cm / 2.54)} in" if inches else f"{round(cm)} cm"


def distance_text(metres: int, *, miles: bool) -> str:
    """The distance rounded up to whole miles or kilometres."""
    return f"{ceil(metres / 1609.344)} mi" if miles else f"{ceil(metres / 1000)} km"
