/** Links into the phone's own mail program. The one into its messages stands in `places.ts`. */

/** RFC 6068: subject and text go into the phone's own mail, where its owner sends it. */
export function mailLink(address: string, subject: string, words: string): string {
  const to = encodeURIComponent(address).replaceAll('%40', '@')
  // A line break is CRLF there (section 5).
  const body = encodeURIComponent(words.replaceAll(/\r?\n/gu, '\r\n'))
  return `mailto:${to}?subject=${encodeURIComponent(subject)}&body=${body}`
}
