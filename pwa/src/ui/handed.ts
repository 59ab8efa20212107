import { signal } from '@preact/signals'
import { recall, remember } from '../store/guarded'
import { hush } from './telling'

const KEY = 'drawbar.handed'

/** What an owner is shown: a quote to decide on, or a stop at which a machine changes hands. */
export interface Handed {
  what: 'quote' | 'stop'
  id: string
}

/**
 * What the owner who holds the phone now is shown; null while a member holds it. As long as it is set nothing
 * else is shown, whatever the address says, also after a reload.
 */
export const handed = signal<Handed | null>(read(recall(KEY)))

/** "stop:" and the id; without a colon it is a quote, as it was written before there was anything else. */
function read(text: string | null): Handed | null {
  if (text === null) return null
  return text.startsWith('stop:') ? { what: 'stop', id: text.slice(5) } : { what: 'quote', id: text }
}

export function giveTo(what: Handed['what'], id: string): void {
  remember(KEY, what === 'stop' ? `stop:${id}` : id)
  handed.value = { what, id }
  hush()
  scrollTo(0, 0)
}

export function takeBack(): void {
  remember(KEY, null)
  handed.value = null
}
