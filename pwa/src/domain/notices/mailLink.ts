/** Links to the phone's own mail program. The link to its messages is in `places.ts`. */

/** RFC 6068: opens the phone's mail program with subject and text; the person sends it. */
export function mailLink(address: string, subject: string, words: string): string {
  const to = encodeURIComponent(address).replaceAll('%40', '@')
  // A line break is CRLF there (section 5).
  const body = encodeURIComponent(words.replaceAll(/\r?\n/gu, '\r\n'))
  return `mailto:${to}?subject=${encodeURIComponent(subject)}&body=${body}`
}
