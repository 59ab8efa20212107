/**
 * The cheapest way to pair rows with columns, each used once at most: as many pairs as rows or columns, by row.
 * The Hungarian method with potentials. Twin: `shopapi/bench/rules/matching.py`, which names its sources.
 */
export function matchCheapest(costs: readonly (readonly number[])[]): [row: number, column: number][] {
  const columns = costs[0]?.length ?? 0
  if (columns === 0) return []
  if (costs.length > columns) {
    const turned = Array.from({ length: columns }, (_, column) => costs.map((row) => row[column] ?? 0))
    return byRow(matchCheapest(turned).map(([column, row]) => [row, column]))
  }
  // Numbered from 1; 0 is the row that is being placed, and the column where its path begins.
  const state: State = {
    rowAt: new Array(columns + 1).fill(0),
    rowPrice: new Array(costs.length + 1).fill(0),
    columnPrice: new Array(columns + 1).fill(0),
  }
  for (let row = 1; row <= costs.length; row += 1) place(costs, row, state)
  return byRow(
    state.rowAt.flatMap((row, column): [number, number][] =>
      column > 0 && row > 0 ? [[row - 1, column - 1]] : [],
    ),
  )
}

interface State {
  rowAt: number[]
  rowPrice: number[]
  columnPrice: number[]
}

const byRow = (pairs: [number, number][]) => pairs.sort((a, b) => a[0] - b[0] || a[1] - b[1])
const at = (list: readonly number[], index: number): number => list[index] ?? 0
const add = (list: number[], index: number, by: number): void => {
  list[index] = at(list, index) + by
}

/** Gives a row a column along the cheapest augmenting path; rows placed before may get another. */
function place(costs: readonly (readonly number[])[], row: number, state: State): void {
  const { rowAt, rowPrice, columnPrice } = state
  const count = rowAt.length
  rowAt[0] = row
  const least: number[] = new Array(count).fill(Number.POSITIVE_INFINITY)
  const cameFrom: number[] = new Array(count).fill(0)
  const seen: boolean[] = new Array(count).fill(false)
  let here = 0
  while (at(rowAt, here)) {
    seen[here] = true
    const own = at(rowAt, here)
    let nearest = 0
    let step = Number.POSITIVE_INFINITY
    for (let column = 1; column < count; column += 1) {
      if (seen[column]) continue
      const cost = at(costs[own - 1] ?? [], column - 1) - at(rowPrice, own) - at(columnPrice, column)
      if (cost < at(least, column)) {
        least[column] = cost
        cameFrom[column] = here
      }
      if (at(least, column) < step) {
        step = at(least, column)
        nearest = column
      }
    }
    for (let column = 0; column < count; column += 1) {
      if (seen[column]) {
        add(rowPrice, at(rowAt, column), step)
        add(columnPrice, column, -step)
      } else add(least, column, -step)
    }
    here = nearest
  }
  while (here) {
    rowAt[here] = at(rowAt, at(cameFrom, here))
    here = at(cameFrom, here)
  }
}
