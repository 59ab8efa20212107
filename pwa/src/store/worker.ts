import { Channel, type Told } from './channel'
import { databaseName, ShopDatabase, type Who } from './db'
import { Driver } from './driver'
import { LocalDatabase } from './local'
import { HttpRemote } from './remote'
import { syncOnce } from './sync'
import { httpUploads, PART_BYTES, sendPictures } from './uploading'

/** A server that is not busy has made a picture of the bytes by then, and the rows say so. */
const MADE_AFTER_MS = 3_000

/** What the page hands over when it starts the worker. */
export interface Start {
  who: Who
  label: string
  build: string
}

/**
 * Sends and fetches for one member away from the page, so that a long fetch never makes a thumb wait. Every
 * tab starts one; the lock lets a single one work, and hands over when its tab closes.
 */
self.addEventListener('message', (event: MessageEvent<Start>) => void begin(event.data), { once: true })

async function begin({ who, label, build }: Start): Promise<void> {
  const db = new ShopDatabase(databaseName(who))
  await alone(db.name, () => {
    const remote = new HttpRemote(label, build)
    const local = new LocalDatabase(db, (told) => channel.tell(told))
    // Pictures have a turn of their own, so that a long one never makes words wait for more than one part of it.
    let words_are_sent = false
    const driver = new Driver({
      round: async () => {
        words_are_sent = false
        await syncOnce(who.member_id, local, remote)
        words_are_sent = true
        pictures.wake()
      },
      tell: (pulse) => channel.tell({ tell: 'pulse', pulse }),
      after,
      random: Math.random,
    })
    const pace = { part_bytes: PART_BYTES }
    const pictures = new Driver({
      round: async () => {
        if (!words_are_sent) return
        const whole = await sendPictures(db, httpUploads, {
          pace,
          mayGoOn: () => words_are_sent,
          tell: () => channel.tell({ tell: 'pictures' }),
        })
        if (whole > 0) after(MADE_AFTER_MS, () => driver.wake())
      },
      tell: () => undefined,
      after,
      random: Math.random,
    })
    const hear = (told: Told) => {
      if (told.tell === 'session') self.close()
      if (told.tell !== 'wake') return
      driver.repeat()
      driver.wake()
    }
    const channel = new Channel(db.name, hear)
    driver.wake()
  })
}

function after(ms: number, then: () => void): () => void {
  const timer = setTimeout(then, ms)
  return () => clearTimeout(timer)
}

async function alone(name: string, work: () => void): Promise<void> {
  if (!('locks' in navigator)) return work()
  await navigator.locks.request(`sync ${name}`, () => {
    work()
    return new Promise(() => undefined)
  })
}
