import { writeStored } from '../browser/safeStorage'
import { dropPicture, type Picture, readPicture } from '../pictures/pictureStore'
import { unsentPictures } from '../queue/queue'
import { stopSyncing } from '../sync/startWorker'
import { SIGNED_OFF_KEY, signOut } from './session'
import { closeShop, requireShopSession, type ShopSession } from './shopSession'

/** Takes the whole shop off a signed-off phone that holds nothing unsent any more: rows, pictures, drafts, who it is. */
export async function forgetShop(shop: ShopSession): Promise<void> {
  stopSyncing()
  shop.channel.post({ tell: 'session' })
  await closeShop()
  await shop.db.destroy()
  writeStored(SIGNED_OFF_KEY, 'yes')
  try {
    sessionStorage.clear()
  } catch {
    // Where the storage is forbidden, no draft is in it.
  }
  await signOut({ anyway: true })
}

/** A picture that was never sent, as it was taken here. */
export const unsentPicture = (id: string): Promise<Picture | null> =>
  readPicture(requireShopSession().db, id, 'picture')

/** Takes the pictures off a signed-off phone that it cannot send any more; then it has nothing left to keep. */
export async function erasePictures(): Promise<void> {
  const shop = requireShopSession()
  for (const { id } of unsentPictures.peek()) await dropPicture(shop.db, id)
  await shop.announcePictures()
}
