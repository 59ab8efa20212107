// @vitest-environment happy-dom
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach, expect, test } from 'vitest'
import { singleKeys } from '../../store/browser/preferences'
import { type KeyBinding, type KeyPlace, typedKeys, useKeys } from '../keys'
import { KeyLine } from './KeyLine'
import { KeyList } from './KeyList'
import { keyGroups } from './keyGroups'

const root = document.createElement('div')
document.body.append(root)

const key = (keys: KeyBinding['keys'], label: string, more: Partial<KeyBinding> = {}): KeyBinding => ({
  keys,
  label,
  act: () => undefined,
  ...more,
})

function Part({ where, bindings }: { where: KeyPlace; bindings: KeyBinding[] }) {
  useKeys(where, bindings)
  return null
}

/** The whole desk, a list, and two buttons of a job, mounted in this order. */
function show(what = <KeyLine />): void {
  act(() =>
    render(
      <>
        <Part
          where="anywhere"
          bindings={[key('/', 'Search'), key('n', 'New job'), key('g j', 'Go to Jobs', { listOnly: true })]}
        />
        <Part
          where="list"
          bindings={[key(['ArrowDown', 'j'], 'Down'), key('x', 'Select', { when: () => false })]}
        />
        <Part where="job" bindings={[key('s', 'Stage', { listOnly: true })]} />
        <Part where="job" bindings={[key('n', 'New here')]} />
        {what}
      </>,
      root,
    ),
  )
}

afterEach(() => {
  act(() => render(null, root))
  singleKeys.value = 'on'
})

const line = () => [...root.querySelectorAll('li')].map(({ textContent }) => textContent)

test('the most particular place comes first, and takes its keys from those below', () => {
  show()
  expect(keyGroups().map(({ where, bindings }) => [where, ...bindings.map(({ label }) => label)])).toEqual([
    ['job', 'Stage', 'New here'],
    ['list', 'Down'],
    ['anywhere', 'Search', 'Go to Jobs'],
  ])
})

test('the line names what works here, or how a sequence goes on', () => {
  show()
  expect(line()).toEqual(['N New here', '↓ Down', '/ Search'])
  act(() => {
    document.body.dispatchEvent(new KeyboardEvent('keydown', { key: 'g', bubbles: true }))
  })
  expect(line()).toEqual(['GJ Go to Jobs'])
  act(() => {
    document.body.dispatchEvent(new KeyboardEvent('keydown', { key: 'Escape', bubbles: true }))
  })
  expect(typedKeys.value).toBe('')
})

test('the list has every key by place, from what works everywhere', () => {
  show()
  show(<KeyList />)
  const parts = [...root.querySelectorAll('dialog section')].map((part) => [
    part.querySelector('h3')?.textContent,
    ...[...part.querySelectorAll('dl > div')].map(({ textContent }) => textContent),
  ])
  expect(parts).toEqual([
    ['Anywhere', '/Search', 'GJGo to Jobs'],
    ['In a list', '↓ or JDown'],
    ['On a job', 'SStage', 'NNew here'],
  ])
})

test('with single keys turned off only the others are named, and the list says so', () => {
  singleKeys.value = 'off'
  show()
  expect(line()).toEqual(['↓ Down'])
  show(<KeyList />)
  expect(root.querySelector('dialog')?.textContent).toContain('Single-key shortcuts are off')
})
