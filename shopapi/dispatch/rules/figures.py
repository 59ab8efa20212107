"""Weights and lengths in the shop's units, as digits and a unit symbol that need no translation."""


def weight_text(kg: float, *, pounds: bool) -> str:
    return f"{round(kg / 0.45359237):,} lb" if pounds else f"{round(kg):,} kg"


def length_text(cm: float, *, inches: bool) -> str:
    return f"{round(cm / 2.54)} in" if inches else f"{round(cm)} cm"
