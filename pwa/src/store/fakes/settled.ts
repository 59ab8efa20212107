import { expect } from 'vitest'
import type { Phone } from './phone'
import type { FakeServer } from './server'

/** Expects that the phone shows the server's rows and has nothing unsent. */
export function expectSettled(phone: Phone, server: FakeServer): void {
  expect(phone.outbox).toEqual([])
  const held = new Map([...server.state.rows].flatMap(([key, { row }]) => (row ? [[key, row] as const] : [])))
  expect(phone.shown()).toEqual(held)
}
