"""The cheapest way to pair rows with columns, each used once at most.

The Hungarian method with potentials, O(rows^2 * columns) with the fewer as rows (Kuhn 1955, Munkres 1957).
Twin: `pwa/src/domain/bench/matching.ts`.
"""

from collections.abc import Sequence


def match_cheapest(costs: Sequence[Sequence[int]]) -> list[tuple[int, int]]:
    """Pairs (row, column) of the least total cost, as many as rows or columns, ordered by row.

    >>> match_cheapest([[4, 1], [2, 3], [9, 9]])
    [(0, 1), (1, 0)]
    """
    if not costs or not costs[0]:
        return []
    if len(costs) > len(costs[0]):
        turned = [list(column) for column in zip(*costs, strict=True)]
        return sorted((row, column) for column, row in match_cheapest(turned))
    columns = len(costs[0])
    # Numbered from 1; 0 is the row that is being placed, and the column where its path begins.
    row_price, column_price = [0] * (len(costs) + 1), [0] * (columns + 1)
    row_at = [0] * (columns + 1)
    for row in range(1, len(costs) + 1):
        _place(costs, row, row_at, row_price, column_price)
    return sorted((row_at[column] - 1, column - 1) for column in range(1, columns + 1) if row_at[column])


def _place(
    costs: Sequence[Sequence[int]], row: int, row_at: list[int], row_price: list[int], column_price: list[int]
) -> None:
    """Give a row a column along the cheapest augmenting path; rows placed before may get another."""
    columns = len(row_at)
    row_at[0] = row
    least: list[int | None] = [None] * columns
    came_from, seen = [0] * columns, [False] * columns
    at = 0
    while row_at[at]:
        seen[at] = True
        nearest, step = 0, None
        for column in range(1, columns):
            if seen[column]:
                continue
            cost = costs[row_at[at] - 1][column - 1] - row_price[row_at[at]] - column_price[column]
            known = least[column]
            if known is None or cost < known:
                least[column], came_from[column] = cost, at
            found = least[column]
            if found is not None and (step is None or found < step):
                nearest, step = column, found
        for column, known in enumerate(least):
            if seen[column]:
                row_price[row_at[column]] += step or 0
                column_price[column] -= step or 0
            elif known is not None:
                least[column] = known - (step or 0)
        at = nearest
    while at:
        row_at[at] = row_at[came_from[at]]
        at = came_from[at]
