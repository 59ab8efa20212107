import { type Command, type CommandName, type Commands, VERSIONS } from '../../domain/contract'
import { ownLetter, provisionalMark } from '../../domain/provisionalMarks'
import { newId, stamp } from '../browser/clock'
import {
  clockAheadMs,
  deviceIn,
  type ReadsMeta,
  readMeta,
  type WritesMeta,
  writeMeta,
} from '../database/meta'
import type { ShopDatabase } from '../database/shopDatabase'
import { noteSaved, noteSaveError } from '../database/storageStatus'
import { namesOfCommands } from '../rows/rowNames'
import { requireShopSession } from '../session/shopSession'
import type { OutboxEntry } from './entry'

/**
 * Saves a command on this phone and shows its effect.
 *
 * Resolves only when the phone has stored it durably; until then nothing may say "saved".
 *
 * @throws when the phone could not save it; what was typed must then stay on the screen
 */
export function enqueue<Name extends CommandName>(name: Name, args: Commands[Name]): Promise<OutboxEntry[]> {
  return enqueueAll([{ name, args } as Command])
}

/** As `enqueue`, for several commands in one transaction. */
export async function enqueueAll(commands: readonly Command[]): Promise<OutboxEntry[]> {
  const shop = requireShopSession()
  const names = namesOfCommands(shop.view, commands)
  const drafts = commands.map((command, at) => ({ ...command, made_words: names[at] ?? '' }))
  try {
    const entries = await shop.save(() => appendCommands(shop.db, drafts))
    shop.announceSaved()
    noteSaved()
    return entries
  } catch (error) {
    noteSaveError(error)
    throw error
  }
}

/** A command with its subject, not numbered yet. One that is sent again keeps the version of its arguments. */
export type NewCommand = Command & { made_words: string; v?: number }

/** Numbers the commands and writes them in one transaction, flushed to the disk before it resolves. */
export function appendCommands(db: ShopDatabase, drafts: readonly NewCommand[]): Promise<OutboxEntry[]> {
  return db.run('readwrite', ['outbox', 'meta'], (tx) => appendWithin(tx, drafts), 'strict')
}

interface AppendTx {
  objectStore(name: 'meta'): ReturnType<ReadsMeta['objectStore']> & ReturnType<WritesMeta['objectStore']>
  objectStore(name: 'outbox'): { add(entry: OutboxEntry): Promise<unknown> }
}

/** Adds commands to the queue inside a caller's transaction. */
export async function appendWithin(tx: AppendTx, drafts: readonly NewCommand[]): Promise<OutboxEntry[]> {
  const [first = 1, device, contacts] = await Promise.all([
    readMeta(tx, 'next_no'),
    deviceIn(tx),
    readMeta(tx, 'contacts'),
  ])
  const entries = drafts.map(
    ({ name, args, made_words, v = VERSIONS[name] ?? 1 }, at) =>
      ({
        id: newId(),
        no: first + at,
        device_id: device.id,
        name,
        v,
        args,
        ...stamp(),
        ahead_ms: clockAheadMs(contacts) ?? 0,
        made_words,
        status: 'waiting',
        code: null,
        words: null,
        fields: [],
        tries: 0,
      }) as OutboxEntry,
  )
  await Promise.all(entries.map((entry) => tx.objectStore('outbox').add(entry)))
  await writeMeta(tx, 'next_no', first + entries.length)
  return entries
}

/** A provisional mark for a new job or quote, until the server numbers it. */
export function newProvisionalMark(db: ShopDatabase): Promise<string> {
  return db.run('readwrite', ['meta'], async (tx) => {
    const [device, count = 0] = await Promise.all([deviceIn(tx), readMeta(tx, 'marks')])
    await writeMeta(tx, 'marks', count + 1)
    return provisionalMark(device.letter ?? ownLetter(device.id), count + 1)
  })
}
