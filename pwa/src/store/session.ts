import { computed, effect, signal } from '@preact/signals'
import { NoSignal, Problem } from '../api/problem'
import { endSession, openSession, readSession, type SessionAnswer, type SignedInMember, type SignedInShop } from '../api/session'
import { isUnsent } from './entry'
import { recall, remember } from './guarded'
import { closeShop, opened, openShop } from './opened'
import { queue } from './queue'
import { startSyncing, stopSyncing } from './syncing'

export interface Session {
  /** expired: this phone knows who works here, the server wants the password again. */
  state: 'unknown' | 'signed_out' | 'signed_in' | 'expired'
  member: SignedInMember | null
  shop: SignedInShop | null
}

interface Known {
  member: SignedInMember
  shop: SignedInShop
}

const KNOWN = 'drawbar.session'
/** Set while the server has not yet heard that the member signed out. */
const LEAVING = 'drawbar.leaving'
const NOBODY: Session = { state: 'signed_out', member: null, shop: null }

export const session = signal<Session>({ state: 'unknown', member: null, shop: null })
export const permissions = computed((): ReadonlySet<string> => new Set(session.value.member?.permissions ?? []))

/** Opens what this phone knows, without waiting for the server; then asks the server who is signed in. */
export async function startSession(): Promise<void> {
  const known = recalled()
  if (known) await enter(known)
  await recheck(known)
}

export type SignedIn =
  | { done: true }
  | { done: false; because: 'wrong_credentials' | 'too_many_tries' | 'no_signal' | 'refused'; words: string }

export async function signIn(email: string, password: string): Promise<SignedIn> {
  try {
    const answer = await openSession(email, password)
    remember(LEAVING, null)
    const known = knownFrom(answer)
    if (!known) return { done: false, because: 'refused', words: '' }
    await enter(known)
    return { done: true }
  } catch (error) {
    if (error instanceof NoSignal) return { done: false, because: 'no_signal', words: '' }
    if (!(error instanceof Problem)) throw error
    const because = error.code === 'wrong_credentials' || error.code === 'too_many_tries' ? error.code : 'refused'
    return { done: false, because, words: error.message }
  }
}

export type SignedOut = { done: true } | { done: false; unsent: number }

/**
 * Signs out and takes the shop's rows off this phone. What is not sent yet stays, and is sent when the
 * same member signs in here again; so long as there is any, `anyway` must say that the member knows.
 */
export async function signOut({ anyway = false }: { anyway?: boolean } = {}): Promise<SignedOut> {
  const unsent = queue.peek().filter(isUnsent).length
  if (unsent > 0 && !anyway) return { done: false, unsent }
  stopSyncing()
  await opened.peek()?.wipe()
  await leave()
  remember(LEAVING, 'yes')
  await sayGoodbye()
  return { done: true }
}

async function enter(known: Known): Promise<void> {
  const shop = opened.peek()
  if (shop && (shop.who.member_id !== known.member.id || shop.who.shop_id !== known.shop.id)) {
    stopSyncing()
    await closeShop()
  }
  remember(KNOWN, JSON.stringify(known))
  if (!opened.peek()) await openShop({ shop_id: known.shop.id, member_id: known.member.id })
  session.value = { state: 'signed_in', ...known }
  startSyncing()
}

async function leave(): Promise<void> {
  remember(KNOWN, null)
  session.value = NOBODY
  await closeShop()
}

async function recheck(known: Known | null): Promise<void> {
  try {
    if (recall(LEAVING) !== null) await sayGoodbye()
    const found = knownFrom(await readSession())
    if (found) await enter(found)
    else session.value = known ? { state: 'expired', ...known } : NOBODY
  } catch (error) {
    if (!(error instanceof NoSignal || error instanceof Problem)) throw error
    if (!known) session.value = NOBODY
  }
}

/** Without a signal the server hears of it at the next start. */
async function sayGoodbye(): Promise<void> {
  try {
    await endSession()
    remember(LEAVING, null)
  } catch (error) {
    if (!(error instanceof NoSignal || error instanceof Problem)) throw error
  }
}

function knownFrom(answer: SessionAnswer): Known | null {
  const { signed_in, member, shop } = answer
  return signed_in && member && shop ? { member, shop } : null
}

function recalled(): Known | null {
  const text = recall(KNOWN)
  return text === null ? null : (JSON.parse(text) as Known)
}

effect(() => {
  const stopped = opened.value?.pulse.value.stopped
  const now = session.peek()
  if (stopped === 'signed_out' && now.state === 'signed_in') session.value = { ...now, state: 'expired' }
})
