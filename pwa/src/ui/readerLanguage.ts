import { computed } from '@preact/signals'
import type { Language } from '../domain/contract'
import { PAGE_WORDS } from '../domain/words/reader/page'
import { customer } from '../store/customers'
import { stop } from '../store/dispatch'
import { job } from '../store/jobs'
import { quote } from '../store/quotes'
import { customerMode } from './heldBy'

/** The language of a job's customer; English where it is not on this phone. */
export const languageOf = (job_id: string): Language =>
  customer(job(job_id)?.customer_id ?? '')?.language ?? 'en'

/**
 * The language of whoever holds the phone: while it is in the customer's hands, that of the offer as it was made, or
 * the customer's; English for members.
 */
export const readerLanguage = computed<Language>(() => {
  const subject = customerMode.value
  if (!subject) return 'en'
  if (subject.kind === 'stop') return languageOf(stop(subject.id)?.job_id ?? '')
  const row = quote(subject.id)
  // Rows of an earlier version of the app name no language.
  return row?.shown ? (row.shown.language ?? 'en') : languageOf(row?.job_id ?? '')
})

/** The words around every screen, in the language of whoever holds the phone. */
export const pageWords = computed(() => PAGE_WORDS[readerLanguage.value] ?? PAGE_WORDS.en)
