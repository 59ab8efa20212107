import { expect } from 'vitest'
import type { Phone } from './phone'
import type { FakeServer } from './server'

/** The phone shows what the server holds, and has nothing left to send. */
export function expectSettled(phone: Phone, server: FakeServer): void {
  expect(phone.outbox).toEqual([])
  const held = new Map([...server.state.rows].flatMap(([key, { row }]) => (row ? [[key, row] as const] : [])))
  expect(phone.shown()).toEqual(held)
}
