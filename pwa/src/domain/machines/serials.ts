/** A serial number as runs of digits and letters. */
type SerialKey = readonly (bigint | string)[]

/**
 * Serial numbers in their natural order: runs of digits by value, before letters; case, spaces and marks do not count.
 * Twin: `serial_key` in `shopapi/machines/rules/serials.py`; both run `fixtures/machines/serials.json`.
 */
function serialKey(serial: string): SerialKey {
  const runs = serial.toUpperCase().match(/[0-9]+|[A-Z]+/g) ?? []
  return runs.map((run) => (/^[0-9]/.test(run) ? BigInt(run) : run))
}

/** Below zero, zero or above zero as a comes before b, is equal to it or comes after it. */
export function compareSerials(a: string, b: string): number {
  const [left, right] = [serialKey(a), serialKey(b)]
  for (const [index, run] of left.entries()) {
    const other = right[index]
    if (other === undefined) return 1
    const order = compareRuns(run, other)
    if (order !== 0) return order
  }
  return left.length - right.length
}

function compareRuns(a: bigint | string, b: bigint | string): number {
  if (typeof a !== typeof b) return typeof a === 'bigint' ? -1 : 1
  return a === b ? 0 : a < b ? -1 : 1
}

/** Whether a serial number is in a range, both ends included; an empty end is open. */
export function isSerialBetween(serial: string, from: string, to: string): boolean {
  return !(from && compareSerials(serial, from) < 0) && !(to && compareSerials(serial, to) > 0)
}
