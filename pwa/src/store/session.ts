import { computed, effect, signal } from '@preact/signals'
import { NoSignal, Problem } from '../api/problem'
import {
  endSession,
  type FirstShop,
  openFirstShop,
  openSession,
  readSession,
  type SessionAnswer,
} from '../api/session'
import type { Member, Role, Shop } from '../domain/rows'
import { type FieldFault, isUnsent } from './entry'
import { recall, remember } from './guarded'
import { closeShop, opened, openShop } from './opened'
import { queue, unsentPictures } from './queue'
import { startSyncing, stopSyncing } from './syncing'

export interface Session {
  /** expired: this phone knows who works here, the server wants the password again. */
  state: 'unknown' | 'signed_out' | 'signed_in' | 'expired'
  member: Pick<Member, 'id' | 'name' | 'role'> | null
  shop: Pick<Shop, 'id' | 'name'> | null
  permissions: readonly string[]
  /** Map tiles that the server lets phones show: an address with {z}, {x} and {y}, and whose they are. */
  tiles: { template: string; credit: string } | null
  /** The server holds no shop yet: the first person to come may open one. */
  first_shop_needed: boolean
}

type Known = Pick<Session, 'permissions' | 'tiles'> & {
  member: NonNullable<Session['member']>
  shop: NonNullable<Session['shop']>
}

const KNOWN = 'drawbar.session'
/** Set while the server has not yet heard that the member signed out. */
const LEAVING = 'drawbar.leaving'
const NOBODY = { member: null, shop: null, permissions: [], tiles: null, first_shop_needed: false }

export const session = signal<Session>({ state: 'unknown', ...NOBODY })
export const permissions = computed((): ReadonlySet<string> => new Set(session.value.permissions))

/** Opens what this phone knows, without waiting for the server; then asks the server who is signed in. */
export async function startSession(): Promise<void> {
  const known = recalled()
  if (known) await enter(known)
  await recheck(known)
}

export type SignedIn =
  | { done: true }
  | {
      done: false
      because: 'wrong_credentials' | 'too_many_tries' | 'no_signal' | 'refused'
      words: string
      fields: readonly FieldFault[]
    }

export function signIn(email: string, password: string): Promise<SignedIn> {
  return entering(openSession(email, password))
}

/** Opens the first shop of a server that holds none, and signs its owner in. */
export function startShop(shop: FirstShop): Promise<SignedIn> {
  return entering(openFirstShop(shop))
}

async function entering(asked: Promise<SessionAnswer>): Promise<SignedIn> {
  try {
    const known = knownFrom(await asked)
    if (!known) return { done: false, because: 'refused', words: '', fields: [] }
    remember(LEAVING, null)
    await enter(known)
    await opened.peek()?.comeBack()
    return { done: true }
  } catch (error) {
    if (error instanceof NoSignal) return { done: false, because: 'no_signal', words: '', fields: [] }
    if (!(error instanceof Problem)) throw error
    const { code, message: words, fields } = error
    const because = code === 'wrong_credentials' || code === 'too_many_tries' ? code : 'refused'
    return { done: false, because, words, fields }
  }
}

export type SignedOut = { done: true } | { done: false; unsent: number }

/**
 * Signs out and takes the shop's rows off this phone. What is not sent yet stays, and is sent when the
 * same member signs in here again; so long as there is any, `anyway` must say that the member knows.
 */
export async function signOut({ anyway = false }: { anyway?: boolean } = {}): Promise<SignedOut> {
  const unsent = queue.peek().filter(isUnsent).length + unsentPictures.peek().length
  if (unsent > 0 && !anyway) return { done: false, unsent }
  stopSyncing()
  await opened.peek()?.wipe()
  await leave()
  remember(LEAVING, 'yes')
  await sayGoodbye()
  return { done: true }
}

let turn: Promise<void> = Promise.resolve()

/** One after another: a sign-in may come while the start still asks the server. */
function enter(known: Known): Promise<void> {
  turn = turn.then(
    () => enterNow(known),
    () => enterNow(known),
  )
  return turn
}

async function enterNow(known: Known): Promise<void> {
  const shop = opened.peek()
  if (shop && (shop.who.member_id !== known.member.id || shop.who.shop_id !== known.shop.id)) {
    stopSyncing()
    await closeShop()
  }
  remember(KNOWN, JSON.stringify(known))
  if (!opened.peek()) await openShop({ shop_id: known.shop.id, member_id: known.member.id })
  session.value = { state: 'signed_in', ...known, first_shop_needed: false }
  startSyncing()
}

async function leave(): Promise<void> {
  stopSyncing()
  remember(KNOWN, null)
  session.value = { state: 'signed_out', ...NOBODY }
  await closeShop()
}

async function recheck(known: Known | null): Promise<void> {
  try {
    if (recall(LEAVING) !== null && !(await sayGoodbye())) {
      session.value = outside(null)
      return
    }
    const answer = await readSession()
    const found = knownFrom(answer)
    if (found) await enter(found)
    else session.value = { ...outside(known), first_shop_needed: answer.first_shop_needed }
  } catch (error) {
    if (!(error instanceof NoSignal || error instanceof Problem)) throw error
    if (!known) session.value = outside(null)
  }
}

/** Without a signal the server hears of it at the next start. Returns whether it has heard. */
async function sayGoodbye(): Promise<boolean> {
  try {
    await endSession()
    remember(LEAVING, null)
    return true
  } catch (error) {
    if (!(error instanceof NoSignal || error instanceof Problem)) throw error
    return false
  }
}

function outside(known: Known | null): Session {
  return known ? { state: 'expired', ...known, first_shop_needed: false } : { state: 'signed_out', ...NOBODY }
}

function knownFrom({
  signed_in,
  member,
  shop,
  permissions,
  tiles_url,
  tiles_credit,
}: SessionAnswer): Known | null {
  if (!signed_in || !member || !shop) return null
  const { id, name, role } = member
  return {
    member: { id, name, role: role as Role },
    shop: { id: shop.id, name: shop.name },
    permissions: permissions ?? [],
    tiles: tiles_url ? { template: tiles_url, credit: tiles_credit ?? '' } : null,
  }
}

function recalled(): Known | null {
  const text = recall(KNOWN)
  // An older version knew no tiles.
  return text === null ? null : { tiles: null, ...(JSON.parse(text) as Omit<Known, 'tiles'>) }
}

effect(() => {
  const stopped = opened.value?.pulse.value.stopped
  const now = session.peek()
  if (stopped === 'signed_out' && now.state === 'signed_in') session.value = { ...now, state: 'expired' }
})

effect(() => {
  if (opened.value?.left.value) void leave()
})
