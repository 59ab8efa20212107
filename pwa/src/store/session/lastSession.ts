import { deleteDB, type IDBPDatabase, openDB } from 'idb'

/*
 * Who is signed in on this phone, in a small database of its own. A browser writes `localStorage` to disk several
 * seconds late, so a battery that dies soon after sign-in would take it: the phone would ask for the password, which
 * it cannot check without a signal, while the work is still on it.
 */

const NAME = 'drawbar'
const STORE = 'session'

/** Stores it; on disk when this resolves. */
export async function keepLastSession(known: object): Promise<void> {
  await withDatabase(
    (made) => void made.createObjectStore(STORE),
    async (db) => {
      const tx = db.transaction(STORE, 'readwrite', { durability: 'strict' })
      await Promise.all([tx.objectStore(STORE).put(known, STORE), tx.done])
    },
  )
}

/** The last one stored, or null. Does not create the database. */
export async function lastSession<Known>(): Promise<Known | null> {
  const found = await withDatabase(
    (_, tx) => {
      tx.done.catch(() => undefined)
      tx.abort()
    },
    (db) => db.get(STORE, STORE),
  )
  return found ?? null
}

export const forgetLastSession = (): Promise<void> => deleteDB(NAME).catch(() => undefined)

/** Where storage is forbidden or full nothing is stored: then only `localStorage` has the session. */
async function withDatabase<Result>(
  onMissing: (db: IDBPDatabase, tx: { abort(): void; done: Promise<void> }) => void,
  work: (db: IDBPDatabase) => Promise<Result>,
): Promise<Result | undefined> {
  let db: IDBPDatabase | undefined
  try {
    db = await openDB(NAME, 1, { upgrade: (made, _from, _to, tx) => onMissing(made, tx) })
    return await work(db)
  } catch {
    return undefined
  } finally {
    db?.close()
  }
}
