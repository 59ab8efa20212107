import type { Language } from '../../contract.ts'
import { english, type ReaderWords } from './en'
import { spanish } from './es'

/** By language; a language that this app does not know yet reads as English (`wordsIn`). */
export const READER_WORDS: Readonly<Record<Language, ReaderWords>> = { en: english, es: spanish }

export const wordsIn = (language: Language): ReaderWords => READER_WORDS[language] ?? english
