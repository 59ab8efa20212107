// @vitest-environment happy-dom
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { singleKeys } from '../store/browser/preferences'
import { type KeyBinding, keyScopes, typedKeys, useKeys } from './keys'

const root = document.createElement('div')
document.body.append(root)
let done: string[] = []

const does = (name: string, keys: string | string[], more: Partial<KeyBinding> = {}): KeyBinding => ({
  keys,
  label: name,
  act: () => done.push(name),
  ...more,
})

function Screen({ list, item }: { list: KeyBinding[]; item?: KeyBinding[] | undefined }) {
  useKeys('list', list)
  return (
    <>
      <input aria-label="text" />
      <input type="checkbox" />
      <button type="button">Save</button>
      <h1 tabIndex={-1}>row</h1>
      {item && <Item bindings={item} />}
    </>
  )
}

function Item({ bindings }: { bindings: KeyBinding[] }) {
  useKeys('job', bindings)
  return null
}

const show = (list: KeyBinding[], item?: KeyBinding[]) =>
  act(() => render(<Screen list={list} item={item} />, root))

/** Presses a key where the focus is; returns whether it was left to the browser. */
function press(key: string, more: KeyboardEventInit = {}, at: string | Element = document.body): boolean {
  const target = typeof at === 'string' ? root.querySelector(at) : at
  const event = new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true, ...more })
  target?.dispatchEvent(event)
  return !event.defaultPrevented
}

beforeEach(() => {
  done = []
})
afterEach(() => {
  act(() => render(null, root))
  singleKeys.value = 'on'
  vi.useRealTimers()
})

test('a bound key acts and is not left to the browser; another is', () => {
  show([does('down', ['j', 'ArrowDown'])])
  expect([press('j'), press('ArrowDown'), press('q')]).toEqual([false, false, true])
  expect(done).toEqual(['down', 'down'])
})

test('Ctrl, Alt and Meta are never caught', () => {
  show([does('print', 'p')])
  for (const with_ of ['ctrlKey', 'altKey', 'metaKey']) expect(press('p', { [with_]: true })).toBe(true)
  expect(done).toEqual([])
})

test('a capital without Shift is the letter; with Shift it is another key', () => {
  show([does('select', 'x'), does('select to here', 'Shift+x'), does('list', '?')])
  press('X')
  press('X', { shiftKey: true })
  press('?', { shiftKey: true })
  expect(done).toEqual(['select', 'select to here', 'list'])
})

test('on a keyboard of another script a letter is found by where it is', () => {
  show([does('down', 'j')])
  press('о', { code: 'KeyJ' })
  expect(done).toEqual(['down'])
})

test('while typing nothing is caught but what is meant for it', () => {
  show([does('down', ['j', 'ArrowDown']), does('close', 'Escape'), does('leave', 'F2', { typing: true })])
  const left = ['j', 'ArrowDown', 'Escape', 'F2'].map((key) => press(key, {}, 'input'))
  expect(left).toEqual([true, true, true, false])
  expect(done).toEqual(['leave'])
})

test('a button keeps Enter, a box to tick keeps Space, and both leave the letters', () => {
  show([does('open', 'Enter'), does('tick', ' '), does('down', 'j')])
  expect(press('Enter', {}, 'button')).toBe(true)
  expect(press(' ', {}, '[type=checkbox]')).toBe(true)
  press('j', {}, 'button')
  press('j', {}, '[type=checkbox]')
  press('Enter', {}, 'h1')
  expect(done).toEqual(['down', 'down', 'open'])
})

test('in a dialog the keys of the page are off', () => {
  show([does('down', 'j')])
  const dialog = document.createElement('dialog')
  document.body.append(dialog)
  dialog.show()
  expect(press('j')).toBe(true)
  dialog.remove()
  expect(press('j')).toBe(false)
})

test('turned off, single keys and sequences are the browser’s, arrows still work', () => {
  singleKeys.value = 'off'
  show([does('down', ['j', 'ArrowDown']), does('search', '/'), does('jobs', 'g j')])
  expect(['j', '/', 'g', 'ArrowDown'].map((key) => press(key))).toEqual([true, true, true, false])
  expect(done).toEqual(['down'])
})

test('a sequence is typed one after the other', () => {
  show([does('jobs', 'g j'), does('down', 'j')])
  press('g')
  expect(typedKeys.value).toBe('g')
  press('j')
  press('j')
  expect(done).toEqual(['jobs', 'down'])
})

test('a sequence that is none does nothing, nor does one whose time is over', () => {
  vi.useFakeTimers()
  show([does('jobs', 'g j'), does('stop', 'x'), does('down', 'j')])
  press('g')
  expect(press('x')).toBe(false)
  expect(done).toEqual([])
  press('g')
  vi.advanceTimersByTime(1600)
  press('j')
  expect(done).toEqual(['down'])
})

test('the one mounted last wins, a part before the screen around it, until it goes', () => {
  const list = [does('list', 'q')]
  show(list, [does('item', 'q')])
  press('q')
  show(list)
  press('q')
  show(list, [does('again', 'q')])
  press('q')
  expect(done).toEqual(['item', 'list', 'again'])
  expect(keyScopes.value.map(({ where }) => where)).toEqual(['job', 'list'])
})

test('a binding that does not work now leaves the key to the next', () => {
  show([does('list', 'q')], [does('item', 'q', { when: () => false })])
  press('q')
  expect(done).toEqual(['list'])
})

test('a key acts as of the last render, and the registry changes with its label', () => {
  show([does('start', 'c')])
  show([does('stop', 'c')])
  press('c')
  expect(done).toEqual(['stop'])
  expect(keyScopes.value[0]?.bindings[0]?.label).toBe('stop')
})

test('a key kept down moves on but does nothing twice', () => {
  show([does('down', ['j', 'ArrowDown']), does('new', 'n')])
  for (const key of ['j', 'n']) {
    press(key)
    press(key, { repeat: true })
  }
  expect(done).toEqual(['down', 'down', 'new'])
})
