/** Finds what a typed text or a scanned code is about among parts to come. */

/** A number as it is compared: capitals and digits alone, since labels space and dash them as they like. */
export const plainNumber = (text: string): string => text.toUpperCase().replaceAll(/[^\p{L}\p{N}]/gu, '')

interface Findable {
  readonly number: string
  readonly words: string
}

const LEAST_IN_CODE = 4

/** Those with that very number; else those whose number the code contains; else those whose words contain the text. */
export function findLines<Row extends Findable>(typed: string, rows: readonly Row[]): Row[] {
  const wanted = plainNumber(typed)
  if (!wanted) return [...rows]
  const numbered = rows.map((row) => ({ row, number: plainNumber(row.number) }))
  const same = numbered.filter(({ number }) => number === wanted)
  const inside = numbered.filter(({ number }) => number.length >= LEAST_IN_CODE && wanted.includes(number))
  const worded = numbered.filter(
    ({ row, number }) => number.includes(wanted) || plainNumber(row.words).includes(wanted),
  )
  return (same.length ? same : inside.length ? inside : worded).map(({ row }) => row)
}
