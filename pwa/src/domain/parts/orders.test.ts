import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import type { ArrivalCondition, LineAnswer, OrderState, PartState, ReturnState } from '../contract.ts'
import { compare, exact } from '../numbers/decimal.ts'
import { goodOf, needStateFor, openOf, orderStateAfter } from './orders.ts'
import { linesText, lineText } from './orderText.ts'
import { owedOf, returnStateWhenRefunded } from './returns.ts'

const read = <T>(name: string): T[] =>
  JSON.parse(readFileSync(new URL(`../../../../fixtures/parts/${name}.json`, import.meta.url), 'utf8'))

interface OrderVector {
  name: string
  state: OrderState
  lines: {
    quantity: string
    answer: LineAnswer
    arrivals: [string, string, ArrivalCondition, string | null][]
    good: string
    open: string
    need: PartState
  }[]
  after: OrderState
}

test.each(read<OrderVector>('orders'))('$name', ({ state, lines, after }) => {
  const statuses = lines.map(({ quantity, answer, arrivals }) => ({
    quantity,
    answer,
    good: goodOf(
      arrivals.map(([id, count, condition, undoes_id]) => ({ id, quantity: count, condition, undoes_id })),
    ),
  }))
  expect(orderStateAfter(state, statuses)).toBe(after)
  statuses.forEach((status, at) => {
    const { good = '', open = '', need } = lines[at] ?? {}
    expect(compare(status.good, exact(good))).toBe(0)
    expect(compare(openOf(status), exact(open))).toBe(0)
    expect(needStateFor(after, status)).toBe(need)
  })
})

interface ReturnVector {
  name: string
  state: ReturnState
  expected: number | null
  refunded: number | null
  owed: number
  adds: number
  was_sent: boolean
  rest_lost: boolean
  after: ReturnState
}

test.each(read<ReturnVector>('returns'))('$name', (vector) => {
  const { state, expected, refunded, adds, was_sent: wasSent, rest_lost: restLost } = vector
  expect(owedOf(state, expected, refunded)).toBe(vector.owed)
  const in_all = (refunded ?? 0) + adds
  expect(returnStateWhenRefunded(state, expected, in_all, { wasSent, restLost })).toBe(vector.after)
})

interface TextVector {
  name: string
  lines: [string, string, string][]
  customer_number: string
  note: string
  text: string
}

test.each(read<TextVector>('order_texts'))('$name', ({ lines, customer_number, note, text }) => {
  const typed = lines.map(([quantity, number, description]) => ({ quantity, number, description }))
  expect(linesText(typed, customer_number, note)).toBe(text)
  expect(text).toContain(typed.map(lineText).join('\n'))
})
