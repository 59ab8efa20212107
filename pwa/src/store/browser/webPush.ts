import { signal } from '@preact/signals'
import { enqueue } from '../queue/outbox'
import { newId } from './clock'
import { readStored, writeStored } from './safeStorage'

const PUSH_KEY = 'drawbar.push'

/** The id of this browser's push subscription; null without one. */
export const pushOn = signal(readStored(PUSH_KEY))

/** Why there is none: not supported, or denied by the user. */
export type PushRefusal = 'cannot' | 'denied'

/** Asks for permission, which browsers grant only on a tap, and sends the subscription to the server. */
export async function turnOnPush(server_key: string): Promise<PushRefusal | null> {
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
  storePushId(id)
  return null
}

export async function turnOffPush(): Promise<void> {
  const id = pushOn.value
  if (id === null) return
  await enqueue('turn_off_push', { id })
  storePushId(null)
  const registration = await navigator.serviceWorker.ready
  await (await registration.pushManager.getSubscription())?.unsubscribe()
}

function storePushId(id: string | null): void {
  writeStored(PUSH_KEY, id)
  pushOn.value = id
}
