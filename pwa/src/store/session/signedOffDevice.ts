import { SAVED_VIEWS } from '../browser/preferences'
import { removeStored, writeStored } from '../browser/safeStorage'
import { dropPicture, type Picture, readPicture } from '../pictures/pictureStore'
import { eraseShared } from '../pictures/sharedCache'
import { unsentPictures } from '../queue/queue'
import { stopSyncing } from '../sync/startWorker'
import { SIGNED_OFF_KEY, signOut } from './session'
import { closeShop, requireShopSession, type ShopSession } from './shopSession'

/** Erases the shop from a signed-off phone without unsent work: rows, pictures, shared items, drafts, views, session. */
export async function forgetShop(shop: ShopSession): Promise<void> {
  stopSyncing()
  shop.channel.post({ tell: 'session' })
  await closeShop()
  await eraseShared()
  await shop.db.destroy()
  writeStored(SIGNED_OFF_KEY, 'yes')
  removeStored(SAVED_VIEWS)
  try {
    sessionStorage.clear()
  } catch {
    // Where storage is forbidden there are no drafts.
  }
  await signOut({ anyway: true })
}

/** A picture that was never sent. */
export const unsentPicture = (id: string): Promise<Picture | null> =>
  readPicture(requireShopSession().db, id, 'picture')

/** Deletes the pictures that a signed-off phone cannot send any more. */
export async function erasePictures(): Promise<void> {
  const shop = requireShopSession()
  for (const { id } of unsentPictures.peek()) await dropPicture(shop.db, id)
  await shop.announcePictures()
}
