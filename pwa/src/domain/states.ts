/** The life of a quote, as data. Twin: `shopapi/quotes/rules/states.py`. */

export type QuoteState = 'draft' | 'offered' | 'decided' | 'lapsed' | 'replaced' | 'withdrawn'

export const QUOTE_TRANSITIONS: Readonly<Record<QuoteState, readonly QuoteState[]>> = {
  draft: ['offered', 'withdrawn'],
  offered: ['decided', 'lapsed', 'replaced', 'withdrawn'],
  decided: ['replaced'],
  // A yes given in time may arrive late: it has happened, so it is kept.
  lapsed: ['decided', 'replaced', 'withdrawn'],
  replaced: [],
  withdrawn: [],
}

/** Whether a quote in `state` may go over to `then`. */
export function mayBecome(state: QuoteState, then: QuoteState): boolean {
  return QUOTE_TRANSITIONS[state].includes(then)
}
