import type { Commands } from '../../../domain/contract'
import type { ShopPrices } from '../../../domain/quotes/book'

export type Term = 'diagnosis' | 'storage'

/** What a customer accepted, and who. */
export interface TermsFormFields {
  accepted: Term[]
  /** Null until somebody else than the customer is named. */
  who: string | null
}

export const NO_TERMS: TermsFormFields = { accepted: [], who: null }

/** What the price book has to tell: the diagnosis fee and storage, each unless it is nothing. */
export function termsToTell(book: ShopPrices | undefined): {
  fee: number | null
  credited: boolean
  free_days: number
  per_day: number | null
  cap: number | null
} {
  return {
    fee: book?.diagnosis_fee_minor || null,
    credited: book?.credit_diagnosis ?? false,
    free_days: book?.storage?.free_days ?? 0,
    per_day: book?.storage?.per_day_minor || null,
    cap: book?.storage?.cap_minor ?? null,
  }
}

type AcceptedTerms = Omit<Commands['record_intake_terms'], 'id' | 'job_id' | 'accepted_at'>

/** The accepted terms with the figures of the price book; undefined where none was accepted. */
export function toTerms(
  { accepted, who }: TermsFormFields,
  book: ShopPrices | undefined,
  customer: string,
): AcceptedTerms | undefined {
  const { fee, credited, free_days, per_day, cap } = termsToTell(book)
  const diagnosis = accepted.includes('diagnosis') && fee !== null
  const storage = accepted.includes('storage') && per_day !== null
  if (!diagnosis && !storage) return undefined
  return {
    accepted_by_name: (who ?? customer).trim(),
    ...(diagnosis && { diagnosis_fee_minor: fee, diagnosis_credited: credited }),
    ...(storage && { storage_free_days: free_days, storage_per_day_minor: per_day }),
    ...(storage && cap !== null && { storage_cap_minor: cap }),
  }
}
