import { Channel, type Told } from './channel'
import { databaseName, ShopDatabase, type Who } from './db'
import { Driver } from './driver'
import { LocalDatabase } from './local'
import { HttpRemote } from './remote'
import { syncOnce } from './sync'

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
    const driver = new Driver({
      round: () => syncOnce(who.member_id, local, remote),
      tell: (pulse) => channel.tell({ tell: 'pulse', pulse }),
      after: (ms, then) => {
        const timer = setTimeout(then, ms)
        return () => clearTimeout(timer)
      },
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

async function alone(name: string, work: () => void): Promise<void> {
  if (!('locks' in navigator)) return work()
  await navigator.locks.request(`sync ${name}`, () => {
    work()
    return new Promise(() => undefined)
  })
}
