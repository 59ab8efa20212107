/** Minutes as hours with one place, as decimal text: "1.2". Never none at all: a tenth is the least. */
export function hoursNear(minutes: number): string {
  return tenths(Math.max(1, Math.round(minutes / 6)))
}

/** The same, never more than it was: the lower end of what is told must not rise by rounding. */
export function hoursDown(minutes: number): string {
  return tenths(Math.floor(minutes / 6))
}

/** The same, never less than it was. */
export function hoursUp(minutes: number): string {
  return tenths(Math.ceil(minutes / 6))
}

/** Seconds as hours with two places at most, as decimal text: "7.25". */
export function hoursOf(seconds: number): string {
  return String(Math.round(seconds / 36) / 100)
}

function tenths(count: number): string {
  return String(count / 10)
}
