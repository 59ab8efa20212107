// @vitest-environment happy-dom
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach, expect, test } from 'vitest'
import { useServerAnswer } from './useServerAnswer'

const root = document.createElement('div')
const waiting = new Map<string, (answer: string) => void>()
let asked: ReturnType<typeof useServerAnswer<string, [string]>>

function Asking() {
  asked = useServerAnswer(
    (question: string) => new Promise<string>((answer) => waiting.set(question, answer)),
  )
  return <p>{asked.answer}</p>
}

afterEach(() => act(() => render(null, root)))

test('only the answer to the last question is shown, and none while it is pending', async () => {
  await act(() => render(<Asking />, root))
  const first = asked.ask('20.00')
  const second = asked.ask('25.00')
  await act(async () => {
    waiting.get('25.00')?.('1,000.00')
    await second
  })
  expect(root.textContent).toBe('1,000.00')
  await act(async () => {
    waiting.get('20.00')?.('800.00')
    await first
  })
  expect(root.textContent).toBe('1,000.00')
  await act(() => void asked.ask('30.00'))
  expect(root.textContent).toBe('')
})
