import type { Clocks } from '../../api/client'
import { CONTACT_WITHIN_MS, PUSH } from '../../domain/contract'
import { moment } from '../../domain/time'
import { type ClockStamp, stamp } from '../browser/clock'
import { type Contact, readMeta, writeMeta } from '../database/meta'
import type { ShopDatabase } from '../database/shopDatabase'

/** Tolerance for reading the two clocks one after the other. */
const READ_MS = 100
/** A larger difference means that the phone slept or its clock was set. */
const SAME_STRETCH_MS = 500

type Measured = Omit<Contact, 'no'>

/**
 * An exchange, by this device's clocks at request and answer, and the server's at their arrival and departure (RFC
 * 5905, section 8). Twin: `measure_offset` in `shopapi/sync/rules/clocks.py`.
 *
 * @returns null where the two clocks disagree about how long it took: the phone slept, or its clock was set
 */
export function contactOf(asked: Clocks, arrived: Clocks, server_clock: string): Measured | null {
  const [received_ms = Number.NaN, answered_ms = Number.NaN] = server_clock.split(' ').map(Number)
  const took_ms = arrived[1] - asked[1]
  const within_ms = Math.ceil(Math.max(0, took_ms - (answered_ms - received_ms)) / 2)
  if (!(within_ms <= CONTACT_WITHIN_MS) || Math.abs(arrived[0] - asked[0] - took_ms) > READ_MS) return null
  return { ...stamp(arrived), server: moment(answered_ms + within_ms), within_ms }
}

/** The log with one more exchange, or the same log if that says nothing new. */
export function withContact(log: readonly Contact[], contact: Contact): readonly Contact[] {
  const last = log.at(-1)
  if (!last || last.no !== contact.no || !isOneStretch(last, contact))
    return [...log, contact].slice(-PUSH.contacts)
  return contact.within_ms * 2 < last.within_ms ? [...log.slice(0, -1), contact] : log
}

/** The exchanges from the last one before a command on. */
export function sinceBefore(log: readonly Contact[], no: number): readonly Contact[] {
  return log.slice(
    Math.max(
      0,
      log.findLastIndex((contact) => contact.no <= no),
    ),
  )
}

/** The exchanges that are still needed to date commands. Stored on the phone. */
export class ContactLog {
  private readonly db: ShopDatabase
  private last: Promise<unknown> = Promise.resolve()

  constructor(db: ShopDatabase) {
    this.db = db
  }

  note(contact: Measured | null): void {
    if (contact)
      void this.change((log, next_no) => withContact(log, { ...contact, no: next_no })).catch(() => undefined)
  }

  /** The exchanges for a push that begins with a command; older ones are deleted. */
  since(no: number): Promise<readonly Contact[]> {
    return this.change((log) => sinceBefore(log, no))
  }

  /** Runs one after another, so that a read sees earlier writes. */
  private change(
    work: (log: readonly Contact[], next_no: number) => readonly Contact[],
  ): Promise<readonly Contact[]> {
    const done = this.last.then(() =>
      this.db.run('readwrite', ['meta'], async (tx) => {
        const [log = [], next_no = 1] = await Promise.all([readMeta(tx, 'contacts'), readMeta(tx, 'next_no')])
        const after = work(log, next_no)
        if (after !== log) await writeMeta(tx, 'contacts', after)
        return after
      }),
    )
    this.last = done.catch(() => undefined)
    return done
  }
}

const gain = ({ wall, mono_ms }: ClockStamp) => Date.parse(wall) - mono_ms

function isOneStretch(one: ClockStamp, other: ClockStamp): boolean {
  return one.session === other.session && Math.abs(gain(one) - gain(other)) <= SAME_STRETCH_MS
}
