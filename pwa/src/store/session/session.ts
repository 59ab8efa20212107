import { computed, effect, signal } from '@preact/signals'
import { NoSignal, Problem } from '../../api/problem'
import {
  endSession,
  type FirstShop,
  openFirstShop,
  openSession,
  readSession,
  type SessionAnswer,
} from '../../api/session'
import type { Member, Permission, Role, Shop } from '../../domain/contract'
import { readStored, writeStored } from '../browser/safeStorage'
import { eraseShared } from '../pictures/sharedCache'
import { type FieldFault, isUnsent } from '../queue/entry'
import { queue, unsentPictures } from '../queue/queue'
import { startSyncing, stopSyncing } from '../sync/startWorker'
import { forgetLastSession, keepLastSession, lastSession } from './lastSession'
import { closeShop, openShop, shopSession } from './shopSession'

export interface Session {
  /** expired: the phone knows its member, but the server needs the password again. */
  state: 'unknown' | 'signed_out' | 'signed_in' | 'expired'
  member: Pick<Member, 'id' | 'name' | 'role'> | null
  shop: Pick<Shop, 'id' | 'name'> | null
  permissions: readonly Permission[]
  /** Map tiles configured on the server: an address with {z}, {x} and {y}, and the attribution. */
  tiles: { template: string; credit: string } | null
  /** The server has no shop yet: the first visitor may open one. */
  first_shop_needed: boolean
}

type KnownSession = Pick<Session, 'permissions' | 'tiles'> & {
  member: NonNullable<Session['member']>
  shop: NonNullable<Session['shop']>
}

const SESSION_KEY = 'drawbar.session'
/** Set from the start of a sign-out until the server knows: a page that ends in between finishes it at its next start. */
const SIGN_OUT_PENDING_KEY = 'drawbar.leaving'
/** Set once this phone was signed off and has erased the shop, until somebody signs in again. */
export const SIGNED_OFF_KEY = 'drawbar.signed_off'
const NOBODY = { member: null, shop: null, permissions: [], tiles: null, first_shop_needed: false }

export const session = signal<Session>({ state: 'unknown', ...NOBODY })
/** Whether this phone was signed off: it shows nothing of the shop, and uploads its queue. */
export const isSignedOff = computed(
  (): boolean => shopSession.value?.deviceStatus.value.device.retired ?? false,
)
/** Whether a signed-off phone has uploaded everything and erased the shop. */
export const hasForgottenShop = (): boolean => readStored(SIGNED_OFF_KEY) !== null

export const permissions = computed((): ReadonlySet<Permission> => new Set(session.value.permissions))

/** Opens the stored session without waiting for the server; then asks the server who is signed in. */
export async function startSession(): Promise<void> {
  const known = storedSession() ?? withTiles(await lastSession())
  if (readStored(SIGN_OUT_PENDING_KEY) !== null) {
    if (known) await clearAfterSignOut(known)
    return checkWithServer(null)
  }
  if (known) await openInTurn(known)
  await checkWithServer(known)
}

/** Finishes a sign-out that the page did not live to finish. */
async function clearAfterSignOut({ shop, member }: KnownSession): Promise<void> {
  const open = await openShop({ shop_id: shop.id, member_id: member.id })
  await open.clearShop()
  await closeSession()
}

/**
 * A page in the back/forward cache would keep its worker and the lock under which one worker syncs for all pages. So
 * the worker ends with the page, and starts again when the page is shown.
 */
export function watchPage(): void {
  addEventListener('pagehide', () => {
    stopSyncing()
    void shopSession.peek()?.pause()
  })
  addEventListener('pageshow', ({ persisted }) => {
    if (persisted) void resumePage()
  })
}

async function resumePage(): Promise<void> {
  const known = storedSession()
  const shop = shopSession.peek()
  // Meanwhile another page signed out, or signed somebody else in.
  if (known?.member.id !== shop?.who.member_id || known?.shop.id !== shop?.who.shop_id)
    return location.reload()
  await shop?.resume()
  startSyncing()
  await checkWithServer(known)
}

export type SignInResult =
  | { done: true }
  | {
      done: false
      because: 'wrong_credentials' | 'second_factor_needed' | 'too_many_tries' | 'no_signal' | 'refused'
      words: string
      fields: readonly FieldFault[]
    }

/** Signs in; with the code of a second factor where the server asked for one. */
export function signIn(email: string, password: string, code = ''): Promise<SignInResult> {
  return signInWith(openSession(email, password, code))
}

/** Opens the first shop of a server, and signs its owner in. */
export function startShop(shop: FirstShop): Promise<SignInResult> {
  return signInWith(openFirstShop(shop))
}

export async function signInWith(asked: Promise<SessionAnswer>): Promise<SignInResult> {
  try {
    const known = knownFrom(await asked)
    if (!known) return { done: false, because: 'refused', words: '', fields: [] }
    writeStored(SIGN_OUT_PENDING_KEY, null)
    writeStored(SIGNED_OFF_KEY, null)
    await openInTurn(known)
    return { done: true }
  } catch (error) {
    if (error instanceof NoSignal) return { done: false, because: 'no_signal', words: '', fields: [] }
    if (!(error instanceof Problem)) throw error
    const { code, message: words, fields } = error
    const because =
      code === 'wrong_credentials' || code === 'second_factor_needed' || code === 'too_many_tries'
        ? code
        : 'refused'
    return { done: false, because, words, fields }
  }
}

export type SignOutResult = { done: true } | { done: false; unsent: number; unfinished: number }

/**
 * Signs out and deletes the shop's rows from this phone. Unsent work stays, and is sent when the same member signs in
 * here again; drafts are deleted. While there is either, `anyway` must confirm it. What other apps shared is deleted too,
 * whenever it came: it belongs to the shop, and the app it came from still has it. What is shared after the sign-out waits
 * for the next member.
 */
export async function signOut({ anyway = false }: { anyway?: boolean } = {}): Promise<SignOutResult> {
  const unsent = queue.peek().filter(isUnsent).length + unsentPictures.peek().length
  const unfinished = shopSession.peek()?.drafts.peek().size ?? 0
  if (unsent + unfinished > 0 && !anyway) return { done: false, unsent, unfinished }
  writeStored(SIGN_OUT_PENDING_KEY, 'yes')
  stopSyncing()
  await shopSession.peek()?.clearShop()
  await closeSession()
  await tellServerSignOut()
  return { done: true }
}

let lastEntry: Promise<void> = Promise.resolve()

/** Runs these one after another: a sign-in may come while the start still waits for the server. */
function openInTurn(known: KnownSession): Promise<void> {
  lastEntry = lastEntry.then(
    () => openNow(known),
    () => openNow(known),
  )
  return lastEntry
}

async function openNow(known: KnownSession): Promise<void> {
  const shop = shopSession.peek()
  if (shop && (shop.who.member_id !== known.member.id || shop.who.shop_id !== known.shop.id)) {
    stopSyncing()
    if (shop.who.shop_id !== known.shop.id) await eraseShared()
    await closeShop()
  }
  writeStored(SESSION_KEY, JSON.stringify(known))
  await keepLastSession(known)
  if (!shopSession.peek()) await openShop({ shop_id: known.shop.id, member_id: known.member.id })
  session.value = { state: 'signed_in', ...known, first_shop_needed: false }
  startSyncing()
}

async function closeSession(): Promise<void> {
  stopSyncing()
  writeStored(SESSION_KEY, null)
  session.value = { state: 'signed_out', ...NOBODY }
  await forgetLastSession()
  await closeShop()
}

async function checkWithServer(known: KnownSession | null): Promise<void> {
  try {
    if (readStored(SIGN_OUT_PENDING_KEY) !== null && !(await tellServerSignOut())) {
      session.value = sessionWithoutServer(null)
      return
    }
    const answer = await readSession()
    const found = knownFrom(answer)
    if (found) await openInTurn(found)
    else session.value = { ...sessionWithoutServer(known), first_shop_needed: answer.first_shop_needed }
  } catch (error) {
    if (!(error instanceof NoSignal || error instanceof Problem)) throw error
    if (!known) session.value = sessionWithoutServer(null)
  }
}

/** Sends the sign-out, without a signal at the next start. Returns whether it reached the server. */
async function tellServerSignOut(): Promise<boolean> {
  try {
    await endSession()
    writeStored(SIGN_OUT_PENDING_KEY, null)
    return true
  } catch (error) {
    if (!(error instanceof NoSignal || error instanceof Problem)) throw error
    return false
  }
}

function sessionWithoutServer(known: KnownSession | null): Session {
  return known ? { state: 'expired', ...known, first_shop_needed: false } : { state: 'signed_out', ...NOBODY }
}

function knownFrom({
  signed_in,
  member,
  shop,
  permissions,
  tiles_url,
  tiles_credit,
}: SessionAnswer): KnownSession | null {
  if (!signed_in || !member || !shop) return null
  const { id, name, role } = member
  return {
    member: { id, name, role: role as Role },
    shop: { id: shop.id, name: shop.name },
    permissions: (permissions ?? []) as Permission[],
    tiles: tiles_url ? { template: tiles_url, credit: tiles_credit ?? '' } : null,
  }
}

function storedSession(): KnownSession | null {
  const text = readStored(SESSION_KEY)
  return text === null ? null : withTiles(JSON.parse(text))
}

/** Older versions stored no tiles. */
const withTiles = (known: Omit<KnownSession, 'tiles'> | null): KnownSession | null =>
  known && { tiles: null, ...known }

effect(() => {
  const stopped = shopSession.value?.syncStatus.value.stopped
  const now = session.peek()
  if (stopped === 'signed_out' && now.state === 'signed_in') session.value = { ...now, state: 'expired' }
})

effect(() => {
  if (shopSession.value?.signedOutElsewhere.value) void closeSession()
})

effect(() => {
  const shop = shopSession.value
  const holds = queue.value.some(isUnsent) || unsentPictures.value.length > 0
  if (shop && isSignedOff.value && !holds)
    import('./signedOffDevice').then(
      ({ forgetShop: forget }) => forget(shop),
      () => undefined,
    )
})
