import type { Language } from '../../contract.ts'

/** Spanish figures of a country that has no form of its own on the server are those of the United States. */
const SPANISH_AS: Readonly<Record<string, string>> = { PR: 'US' }

/**
 * The locale in which the shop's figures are written for a reader: the shop's own where it has the language. Twin:
 * `locale_for` in `shopapi/core/languages.py`.
 */
export function localeFor(locale: string, language: Language): string {
  const [own, ...rest] = locale.split('-')
  if (language !== 'es' || own === language) return locale
  const region = (rest.find((part) => part.length === 2) ?? 'US').toUpperCase()
  return `${language}-${SPANISH_AS[region] ?? region}`
}
