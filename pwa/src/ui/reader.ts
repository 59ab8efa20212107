import { computed } from '@preact/signals'
import { wordsIn } from '../domain/words/reader'
import { readerLanguage } from './readerLanguage'

/** The words of the screens that customers and members share, in the language of whoever holds the phone. */
export const reader = computed(() => wordsIn(readerLanguage.value))
