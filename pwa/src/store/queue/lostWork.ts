/** After the browser cleared the storage: finds out which of the unsent commands the server has. */
import { effect } from '@preact/signals'
import { Problem } from '../../api/problem'
import { getCommand } from '../../api/sync'
import { requireShopSession, type ShopSession } from '../session/shopSession'
import { storeLost } from './unsentNote'

/** Asks the server once it answers. What it has is not lost; the rest stays until a person has checked it. */
export function watchLost(shop: ShopSession): void {
  const stop = effect(() => {
    if (shop.syncStatus.value.signal !== 'yes' || !shop.deviceStatus.value.complete) return
    queueMicrotask(() => stop())
    void checkWithServer(shop).catch(() => undefined)
  })
}

async function checkWithServer(shop: ShopSession): Promise<void> {
  const lost = shop.lost.peek()
  if (!lost) return
  const known = await Promise.all(lost.unsent.map(({ id }) => isKnown(id)))
  const pictures = lost.pictures.filter((id) => shop.view.peek('attachment', id)?.state !== 'ready')
  const unsent = lost.unsent.filter((_, at) => !known[at])
  shop.lost.value = storeLost(shop.db.name, { ...lost, unsent, pictures })
}

async function isKnown(command_id: string): Promise<boolean> {
  try {
    await getCommand(command_id)
    return true
  } catch (error) {
    if (error instanceof Problem && error.status === 404) return false
    throw error
  }
}

/** A person has checked what may be lost: the note is deleted. */
export function forgetLost(): void {
  const shop = requireShopSession()
  shop.lost.value = storeLost(shop.db.name, null)
}
