/** Minutes as hours with one decimal, as text: "1.2"; at least "0.1". */
export function hoursRounded(minutes: number): string {
  return tenths(Math.max(1, Math.round(minutes / 6)))
}

/** The same rounded down, for the lower end of an interval. */
export function hoursRoundedDown(minutes: number): string {
  return tenths(Math.floor(minutes / 6))
}

/** The same rounded up, for the upper end of an interval. */
export function hoursRoundedUp(minutes: number): string {
  return tenths(Math.ceil(minutes / 6))
}

/** Seconds as hours with at most two decimals, as text: "7.25". */
export function hoursFromSeconds(seconds: number): string {
  return String(Math.round(seconds / 36) / 100)
}

function tenths(count: number): string {
  return String(count / 10)
}
