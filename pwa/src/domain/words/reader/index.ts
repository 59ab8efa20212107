import type { Language } from '../../contract.ts'
import { english, type ReaderWords } from './en'
import { spanish } from './es'

/** By language; a language that this app does not know yet reads as English (`wordsIn`). */
export const READER_WORDS: Readonly<Record<Language, ReaderWords>> = { en: english, es: spanish }

export const wordsIn = (language: Language): ReaderWords => READER_WORDS[language] ?? english

/** Spanish figures of a country that has no form of its own on the server are those of the United States. */
const SPANISH_AS: Readonly<Record<string, string>> = { PR: 'US' }

/**
 * The locale in which the shop's figures are written for a reader: the shop's own where it has the language. Twin:
 * `locale_for` in `shopapi/core/languages.py`.
 */
export function localeFor(locale: string, language: Language): string {
  const [own, ...rest] = locale.split('-')
  if (language === 'en' || own === language) return locale
  const region = (rest.find((part) => part.length === 2) ?? 'US').toUpperCase()
  return `${language}-${SPANISH_AS[region] ?? region}`
}
