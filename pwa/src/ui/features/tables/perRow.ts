/** A function of a row that is worked out once for each row object: rows are new objects when something changed. */
export function perRow<Row extends object, Value>(work: (row: Row) => Value): (row: Row) => Value {
  const known = new WeakMap<Row, { value: Value }>()
  return (row) => {
    const found = known.get(row) ?? { value: work(row) }
    known.set(row, found)
    return found.value
  }
}
