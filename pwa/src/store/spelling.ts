/** Text as it is compared: small letters, without accents. */
export function plainText(text: string): string {
  return text.normalize('NFKD').replaceAll(/\p{M}/gu, '').toLowerCase()
}

/** The words and numbers of a text: `J-1042` is `j` and `1042`. */
export function wordsIn(text: string): string[] {
  return plainText(text)
    .split(/[^\p{L}\p{N}]+/u)
    .filter(Boolean)
}

/** As `wordsIn`, each once, and what is written in one piece also in one: `J-1042` is `j1042` too. */
export function wordsToFind(text: string): string[] {
  const words = new Set<string>()
  for (const piece of text.split(/\s+/)) {
    const parts = wordsIn(piece)
    for (const part of [...parts, parts.join('')]) if (part !== '') words.add(part)
  }
  return [...words]
}

/**
 * Whether some beginning of `word` can be turned into `asked` with at most `most` slips: a sign too many,
 * one missing, one wrong, or two neighbours exchanged.
 */
export function distanceWithin(word: string, asked: string, most: number): boolean {
  let beforeLast: number[] = []
  let last = Array.from({ length: word.length + 1 }, (_, at) => at)
  for (let a = 1; a <= asked.length; a++) {
    const row = [a]
    let least = a
    for (let w = 1; w <= word.length; w++) {
      const wrong = asked[a - 1] === word[w - 1] ? 0 : 1
      let cost = Math.min((last[w] ?? 0) + 1, (row[w - 1] ?? 0) + 1, (last[w - 1] ?? 0) + wrong)
      if (a > 1 && w > 1 && asked[a - 1] === word[w - 2] && asked[a - 2] === word[w - 1])
        cost = Math.min(cost, (beforeLast[w - 2] ?? 0) + 1)
      row.push(cost)
      if (cost < least) least = cost
    }
    if (least > most) return false
    beforeLast = last
    last = row
  }
  return last.some((cost) => cost <= most)
}
