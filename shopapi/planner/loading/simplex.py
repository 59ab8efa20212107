"""A dense simplex method for small linear programs with a feasible origin.

Dantzig's tableau with Bland's rule of 1977 (the first improving column, the first row of a tie), which cannot cycle and
is deterministic.
"""

from collections.abc import Sequence

# Below TINY a value is rounding noise. MOST_PIVOTS ends a run in which noise defeats Bland's rule: every limit holds
# at any pivot.
TINY = 1e-9
MOST_PIVOTS = 2000


def maximize(rows: Sequence[Sequence[float]], limits: Sequence[float], aims: Sequence[int]) -> list[float]:
    """The values x >= 0 with `rows` x <= `limits` that make x[aims[0]] as large as can be, then x[aims[1]], and so on.

    The aims are lexicographic. No limit is below zero, and each aim is bounded by some row.
    """
    unknowns, height = len(rows[0]), len(rows)
    table = [
        [*row, *(float(slack == at) for slack in range(height)), limit]
        for at, (row, limit) in enumerate(zip(rows, limits, strict=True))
    ]
    basis = list(range(unknowns, unknowns + height))
    may_enter = list(range(unknowns + height))
    for aim in aims:
        goal = [0.0] * (unknowns + height + 1)
        goal[aim] = -1.0
        if aim in basis:
            goal = [one + other for one, other in zip(goal, table[basis.index(aim)], strict=True)]
        for _ in range(MOST_PIVOTS):
            column = next((column for column in may_enter if goal[column] < -TINY), None)
            if column is None:
                break
            goal = _pivot(table, basis, goal, column)
        may_enter = [column for column in may_enter if goal[column] <= TINY]
    values = [0.0] * (unknowns + height)
    for at, column in enumerate(basis):
        values[column] = max(0.0, table[at][-1])
    return values[:unknowns]


def _pivot(table: list[list[float]], basis: list[int], goal: list[float], column: int) -> list[float]:
    """Pivot on `column` until the first limit binds; returns the objective at the new vertex."""
    growing = [at for at, row in enumerate(table) if row[column] > TINY]
    leaving = min(growing, key=lambda at: (table[at][-1] / table[at][column], basis[at]))
    pivot = table[leaving][column]
    table[leaving] = held = [value / pivot for value in table[leaving]]
    for at, row in enumerate(table):
        if at != leaving and row[column]:
            share = row[column]
            table[at] = [value - share * one for value, one in zip(row, held, strict=True)]
    basis[leaving] = column
    share = goal[column]
    return [value - share * one for value, one in zip(goal, held, strict=True)]
