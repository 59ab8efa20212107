/**
 * A note outside IndexedDB of what this phone has not sent. A browser that is short of storage may clear IndexedDB with
 * the queue; the note then lists what may be lost.
 */

import { readStored, writeStored } from '../browser/safeStorage'
import type { OutboxEntry } from './entry'

export interface UnsentNote {
  device_id: string
  /** When it was written, by this phone's clock. */
  at: string
  unsent: readonly Pick<OutboxEntry, 'id' | 'name' | 'made_words' | 'wall'>[]
  /** Ids of pictures. */
  pictures: readonly string[]
}

/** The most entries in the note. */
const MAX_NAMED = 200

export function noteUnsent(
  database: string,
  device_id: string,
  entries: readonly OutboxEntry[],
  pictures: readonly string[],
): void {
  const unsent = entries
    .slice(0, MAX_NAMED)
    .map(({ id, name, made_words, wall }) => ({ id, name, made_words, wall }))
  writeNote(`unsent ${database}`, { device_id, at: new Date().toISOString(), unsent, pictures })
}

/** The note from before the storage was cleared; null when it was not. `empty`: nothing was ever saved. */
export function findLost(database: string, device_id: string, empty: boolean): UnsentNote | null {
  const note = readNote(`unsent ${database}`)
  if (empty && note && note.device_id !== device_id) writeNote(`lost ${database}`, note)
  return readNote(`lost ${database}`)
}

/** Stores the rest of the note, after the server or a person was asked. */
export function storeLost(database: string, note: UnsentNote | null): UnsentNote | null {
  writeNote(`lost ${database}`, note)
  return readNote(`lost ${database}`)
}

function readNote(key: string): UnsentNote | null {
  const text = readStored(`drawbar.${key}`)
  return text === null ? null : (JSON.parse(text) as UnsentNote)
}

/** An empty note counts as none. */
function writeNote(key: string, note: UnsentNote | null): void {
  const something = note && note.unsent.length + note.pictures.length > 0
  writeStored(`drawbar.${key}`, something ? JSON.stringify(note) : null)
}
