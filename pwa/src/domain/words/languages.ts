import type { Language } from '../contract.ts'
import { named } from '../named.ts'

/** What each language is called, in itself. */
export const languageNames = /* @__PURE__ */ named({ en: 'English', es: 'Español' } satisfies Record<
  Language,
  string
>)

export const LANGUAGES = Object.keys(languageNames) as Language[]

/** The choices of a form. */
export const languageOptions = LANGUAGES.map((value) => ({ value, label: languageNames[value] }))
