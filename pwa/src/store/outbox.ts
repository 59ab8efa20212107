import type { Command, CommandName, Commands } from '../domain/commands'
import { ownLetter, provisionalMark } from '../domain/marks'
import { newId, stamp } from './clock'
import type { ShopDatabase } from './db'
import type { Entry } from './entry'
import { deviceIn, type ReadsMeta, readMeta, type WritesMeta, writeMeta } from './meta'
import { namesIn } from './naming'
import { current } from './opened'
import { noteSaved, noteTrouble } from './storage'

/**
 * Saves a command on this phone and lays its effect over what is shown.
 *
 * Resolves only when the phone has really written it down; until then nothing may say "saved".
 *
 * @throws when the phone could not save it; what was typed must then stay on the screen
 */
export function enqueue<Name extends CommandName>(name: Name, args: Commands[Name]): Promise<Entry[]> {
  return enqueueAll([{ name, args } as Command])
}

/** As `enqueue`, for commands that belong together: all of them are saved or none. */
export async function enqueueAll(commands: readonly Command[]): Promise<Entry[]> {
  const shop = current()
  const names = namesIn(shop.view, commands)
  const drafts = commands.map((command, at) => ({ ...command, made_words: names[at] ?? '' }))
  try {
    const entries = await shop.save(() => append(shop.db, drafts))
    shop.tellSaved()
    noteSaved()
    return entries
  } catch (error) {
    noteTrouble(error)
    throw error
  }
}

/** A command with what it is about, not numbered yet. */
export type Draft = Command & { made_words: string }

/** Numbers the commands and writes them in one transaction, flushed to the disk before it resolves. */
export function append(db: ShopDatabase, drafts: readonly Draft[]): Promise<Entry[]> {
  return db.run('readwrite', ['outbox', 'meta'], (tx) => appendIn(tx, drafts), 'strict')
}

interface Appends {
  objectStore(name: 'meta'): ReturnType<ReadsMeta['objectStore']> & ReturnType<WritesMeta['objectStore']>
  objectStore(name: 'outbox'): { add(entry: Entry): Promise<unknown> }
}

/** As `append`, inside a transaction that does more. */
export async function appendIn(tx: Appends, drafts: readonly Draft[]): Promise<Entry[]> {
  const [first = 1, device] = await Promise.all([readMeta(tx, 'next_no'), deviceIn(tx)])
  const entries = drafts.map(
    ({ name, args, made_words }, at) =>
      ({
        id: newId(),
        no: first + at,
        device_id: device.id,
        name,
        v: 1,
        args,
        ...stamp(),
        made_words,
        status: 'waiting',
        code: null,
        words: null,
        fields: [],
        tries: 0,
      }) as Entry,
  )
  await Promise.all(entries.map((entry) => tx.objectStore('outbox').add(entry)))
  await writeMeta(tx, 'next_no', first + entries.length)
  return entries
}

/** A name for a new job or quote, until the server numbers it. */
export function mintMark(db: ShopDatabase): Promise<string> {
  return db.run('readwrite', ['meta'], async (tx) => {
    const [device, count = 0] = await Promise.all([deviceIn(tx), readMeta(tx, 'marks')])
    await writeMeta(tx, 'marks', count + 1)
    return provisionalMark(device.letter ?? ownLetter(device.id), count + 1)
  })
}
