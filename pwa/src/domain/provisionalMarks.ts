/**
 * The provisional name of a job or quote until the server numbers it: the letter of the device and a counter of that
 * device, `B-7`.
 */
export function provisionalMark(letter: string, count: number): string {
  return `${letter}-${count}`
}

/**
 * A letter for a device the server has not named yet, drawn from the device's own id. Three letters
 * from Z on keep it far from the letters a server gives out in turn.
 */
export function ownLetter(device_id: string): string {
  const tail = Number.parseInt(device_id.replaceAll('-', '').slice(-6), 16)
  const letter = (n: number) => String.fromCharCode(65 + (n % 26))
  return `Z${letter(tail)}${letter(Math.floor(tail / 26))}`
}

/** The name of a job or quote: its number, or its mark while it has none. */
export function shownName(row: { number: string | null; mark: string }): string {
  return row.number ?? row.mark
}
