import { signal } from '@preact/signals'
import { newId } from './clock'
import { recall, remember } from './guarded'
import { enqueue } from './outbox'

const MARK = 'drawbar.push'

/** The id under which this browser shows push messages; null while it shows none. */
export const pushOn = signal(recall(MARK))

/** Why a browser shows none: it cannot, or its owner does not let it. */
export type NoPush = 'cannot' | 'denied'

/** Asks the browser for its leave, which it grants to a tap alone, and tells the server where to send. */
export async function turnOnPush(server_key: string): Promise<NoPush | null> {
  if (!('serviceWorker' in navigator) || !('PushManager' in globalThis)) return 'cannot'
  if ((await Notification.requestPermission()) !== 'granted') return 'denied'
  const { pushManager } = await navigator.serviceWorker.ready
  const options = { userVisibleOnly: true, applicationServerKey: server_key }
  const made = await pushManager.subscribe(options).catch(() => null)
  const { endpoint, keys } = made?.toJSON() ?? {}
  const [p256dh, auth] = [keys?.['p256dh'], keys?.['auth']]
  if (!endpoint || !p256dh || !auth) return 'cannot'
  const id = newId()
  await enqueue('turn_on_push', { id, endpoint, p256dh, auth })
  keep(id)
  return null
}

export async function turnOffPush(): Promise<void> {
  const id = pushOn.value
  if (id === null) return
  await enqueue('turn_off_push', { id })
  keep(null)
  const registration = await navigator.serviceWorker.ready
  await (await registration.pushManager.getSubscription())?.unsubscribe()
}

function keep(id: string | null): void {
  remember(MARK, id)
  pushOn.value = id
}
