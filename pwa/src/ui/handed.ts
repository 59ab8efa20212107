import { signal } from '@preact/signals'
import { recall, remember } from '../store/guarded'
import { hush } from './telling'

const KEY = 'drawbar.handed'

/**
 * The quote whose owner holds the phone now; null while a member does. As long as it is set nothing but
 * that quote is shown, whatever the address says, also after a reload.
 */
export const handed = signal<string | null>(recall(KEY))

export function handOver(quoteId: string): void {
  remember(KEY, quoteId)
  handed.value = quoteId
  hush()
  scrollTo(0, 0)
}

export function takeBack(): void {
  remember(KEY, null)
  handed.value = null
}
