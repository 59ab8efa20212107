/** The size of a fastener as one text, "M8 × 25", and as it is stored: its thread and its length apart. */
export interface FastenerSize {
  thread: string
  length: string
}

/**
 * Reads a size as people type it. A metric thread may have its pitch before the length ("M8x1.25x25"). `null`: nothing
 * was typed.
 */
export function parseSize(typed: string): FastenerSize | null {
  const parts = typed
    .trim()
    .split(/\s*[x×*]\s*/i)
    .filter(Boolean)
  const [first = ''] = parts
  if (!first) return null
  const pitched = /^m\s*[0-9]/i.test(first) && parts.length > 2
  const thread = pitched ? `${first}x${parts[1]}` : first
  const length = parts.slice(pitched ? 2 : 1).join(' ')
  return { thread: thread.replace(/^m\s*/i, 'M').slice(0, LONGEST), length: length.slice(0, LONGEST) }
}

const LONGEST = 20

export const showSize = ({ thread, length }: FastenerSize): string =>
  length ? `${thread} × ${length}` : thread
