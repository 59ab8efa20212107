import type { Command } from '../../domain/contract'
import type { PendingUpload } from '../database/shopDatabase'
import { enqueueAll } from '../queue/outbox'
import { requireShopSession } from '../session/shopSession'
import { releaseFormPictures } from './pictureStore'

/** Queues the commands of a form, then releases its pictures for upload. */
export async function enqueueWithPictures(
  commands: Command[],
  kept: readonly PendingUpload[],
): Promise<void> {
  await enqueueAll(commands)
  if (!kept.length) return
  const shop = requireShopSession()
  await releaseFormPictures(
    shop.db,
    kept.map((each) => each.id),
  )
  await shop.announcePictures()
}
