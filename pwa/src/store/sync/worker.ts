import { readClocks, timing } from '../../api/client'
import { adoptPageClock, type ClockStamp } from '../browser/clock'
import { databaseName, ShopDatabase, type ShopMember } from '../database/shopDatabase'
import { httpUploads, PART_BYTES, sendPictures } from '../pictures/upload'
import { HttpRemote } from './httpRemote'
import { LocalDatabase } from './localDatabase'
import { SyncScheduler } from './scheduler'
import { ContactLog, contactOf } from './serverContacts'
import { syncOnce } from './syncRound'
import { TabChannel, type TabMessage } from './tabChannel'

/** Usually the server has processed an upload by then. */
const MADE_AFTER_MS = 3_000

/** The page's message that starts the worker. */
export interface WorkerStart {
  who: ShopMember
  label: string
  build: string
  /** Readings of the page's clocks. */
  clocks: ClockStamp
}

/**
 * Syncs for one member outside of the page, so that a long fetch never blocks the screen. Every tab starts one; a lock
 * lets only one work, and passes on when its tab closes.
 */
self.addEventListener('message', (event: MessageEvent<WorkerStart>) => void begin(event.data), { once: true })

async function begin({ who, label, build, clocks }: WorkerStart): Promise<void> {
  adoptPageClock(clocks)
  const db = new ShopDatabase(databaseName(who))
  await withSyncLock(db.name, () => {
    const contacts = new ContactLog(db)
    timing.heard = (asked, server_clock) =>
      contacts.note(server_clock === null ? null : contactOf(asked, readClocks(), server_clock))
    const remote = new HttpRemote(label, build, (no) => contacts.since(no))
    const local = new LocalDatabase(db, (message) => channel.post(message))
    // Pictures are uploaded in a separate loop, so that commands wait for one part at most.
    let words_are_sent = false
    const scheduler = new SyncScheduler({
      round: async () => {
        words_are_sent = false
        await syncOnce(who.member_id, local, remote)
        words_are_sent = true
        pictureScheduler.wake()
      },
      report: (pulse) => channel.post({ tell: 'pulse', pulse }),
      after,
      random: Math.random,
    })
    const pace = { part_bytes: PART_BYTES }
    const pictureScheduler = new SyncScheduler({
      round: async () => {
        if (!words_are_sent) return
        const whole = await sendPictures(db, httpUploads, {
          pace,
          mayGoOn: () => words_are_sent,
          tell: () => channel.post({ tell: 'pictures' }),
        })
        if (whole > 0) after(MADE_AFTER_MS, () => scheduler.wake())
      },
      report: () => undefined,
      after,
      random: Math.random,
    })
    const onMessage = (message: TabMessage) => {
      if (message.tell === 'session') self.close()
      if (message.tell !== 'wake') return
      scheduler.reportAgain()
      scheduler.wake()
    }
    const channel = new TabChannel(db.name, onMessage)
    scheduler.wake()
  })
}

function after(ms: number, then: () => void): () => void {
  const timer = setTimeout(then, ms)
  return () => clearTimeout(timer)
}

async function withSyncLock(name: string, work: () => void): Promise<void> {
  if (!('locks' in navigator)) return work()
  await navigator.locks.request(`sync ${name}`, () => {
    work()
    return new Promise(() => undefined)
  })
}
