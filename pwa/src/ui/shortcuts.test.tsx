// @vitest-environment happy-dom
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach, expect, test, vi } from 'vitest'
import { buttonKeys } from './buttonKeys'
import { Button, PrimaryButton } from './components/Button'
import { buttonKey } from './components/KeyCaps'
import { keyScopes } from './keys'
import { RESERVED, SHORTCUTS } from './shortcuts'

const wide = vi.hoisted(() => ({ value: true }))
vi.mock('./wide', () => ({ isWide: wide }))

buttonKeys.value = buttonKey

const root = document.createElement('div')
document.body.append(root)

afterEach(() => {
  act(() => render(null, root))
  wide.value = true
})

test.each(Object.entries(SHORTCUTS))('in %s a letter means one thing, and none of every list', (_, acts) => {
  const letters: string[] = Object.values(acts)
  expect(new Set(letters).size).toBe(letters.length)
  expect(letters.filter((letter) => RESERVED.includes(letter))).toEqual([])
  expect(letters.every((letter) => /^[a-z]$/.test(letter))).toBe(true)
})

test('a button shows its key, is pressed by it, and keeps its name', () => {
  const pressed: string[] = []
  act(() =>
    render(
      <>
        <Button label="Text" shortcut="job.text" onPress={() => pressed.push('text')} />
        <PrimaryButton label="Start" shortcut="job.clock" onPress={() => pressed.push('start')} />
        <Button label="Plain" />
      </>,
      root,
    ),
  )
  const [text, start, plain] = root.querySelectorAll('button')
  expect([text, start, plain].map((each) => each?.getAttribute('aria-keyshortcuts'))).toEqual([
    'T',
    'C',
    null,
  ])
  expect(
    [...root.querySelectorAll('kbd')].map((kbd) => [
      kbd.textContent,
      kbd.closest('[aria-hidden=true]') !== null,
    ]),
  ).toEqual([
    ['T', true],
    ['C', true],
  ])
  for (const key of ['t', 'c'])
    document.body.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true }))
  expect(pressed).toEqual(['text', 'start'])
  expect(keyScopes.value.map(({ where, bindings }) => [where, bindings[0]?.label])).toEqual([
    ['job', 'Start'],
    ['job', 'Text'],
  ])
})

test('on a phone a button has no key', () => {
  wide.value = false
  act(() => render(<Button label="Text" shortcut="job.text" />, root))
  expect([root.querySelector('kbd'), keyScopes.value.length]).toEqual([null, 0])
})
