/** Text normalized for comparison: lower case, without accents. */
function plainText(text: string): string {
  const small = text.toLowerCase()
  return isPlain(small) ? small : small.normalize('NFKD').replaceAll(/\p{M}/gu, '')
}

/** Most names have no accents: skip the normalization. */
function isPlain(text: string): boolean {
  for (let at = 0; at < text.length; at++) if (text.charCodeAt(at) > 127) return false
  return true
}

/** The words and numbers of a text: `J-1042` is `j` and `1042`. */
export function wordsIn(text: string): string[] {
  return plainText(text).match(/[\p{L}\p{N}]+/gu) ?? []
}

/** As `wordsIn`, each once, and hyphenated words also joined: `J-1042` is `j1042` too. */
export function wordsToFind(text: string): string[] {
  const words = new Set<string>()
  for (const piece of text.split(/\s+/)) {
    const parts = wordsIn(piece)
    for (const part of parts) words.add(part)
    if (parts.length > 1) words.add(parts.join(''))
  }
  return [...words]
}

/** The score of a word: 8 equal, 6 a prefix, 4 with typos, 0 no match. */
export function likeness(word: string, asked: string): number {
  if (word.startsWith(asked)) return word.length === asked.length ? 8 : 6
  return isNear(word, asked) ? 4 : 0
}

/** One typo in a word of four letters or more, two from eight on; none in a number. */
function isNear(word: string, asked: string): boolean {
  const slips = asked.length >= 8 ? 2 : asked.length >= 4 ? 1 : 0
  if (slips === 0 || word.length < asked.length - slips) return false
  if (/\d/.test(asked) || /\d/.test(word)) return false
  return beginsWithin(word, asked, slips)
}

/**
 * Whether some prefix of `word` is within `most` typos of `asked`: a letter added, missing or wrong, or two neighbours
 * swapped.
 */
export function beginsWithin(word: string, asked: string, most: number): boolean {
  const width = Math.min(word.length, asked.length + most)
  let beforeLast: number[] = []
  let last = Array.from({ length: width + 1 }, (_, at) => at)
  for (let a = 1; a <= asked.length; a++) {
    const row = [a]
    let least = a
    for (let w = 1; w <= width; w++) {
      const wrong = asked[a - 1] === word[w - 1] ? 0 : 1
      let slips = Math.min((last[w] ?? 0) + 1, (row[w - 1] ?? 0) + 1, (last[w - 1] ?? 0) + wrong)
      const exchanged = a > 1 && w > 1 && asked[a - 1] === word[w - 2] && asked[a - 2] === word[w - 1]
      if (exchanged) slips = Math.min(slips, (beforeLast[w - 2] ?? 0) + 1)
      row.push(slips)
      if (slips < least) least = slips
    }
    if (least > most) return false
    beforeLast = last
    last = row
  }
  return last.some((slips) => slips <= most)
}
