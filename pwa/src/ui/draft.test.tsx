// @vitest-environment happy-dom
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach, expect, test } from 'vitest'
import { type Draft, useDraft } from './draft'

interface Fields {
  words: string
  more: string
}
const root = document.createElement('div')
let draft: Draft<Fields>

function Typing({ name }: { name: string }) {
  draft = useDraft<Fields>(name, { words: '', more: 'as it was' })
  return null
}
const open = (name: string) => act(() => render(<Typing key={name} name={name} />, root))
const leave = () => act(() => render(null, root))

afterEach(leave)

test('what was typed is there again after the form was left, until it is dropped', async () => {
  await open('finding:1')
  await act(() => draft.put({ words: 'Belt ' }))
  await act(() => draft.put({ words: 'Belt frayed' }))
  await leave()
  await open('finding:2')
  expect(draft.fields).toEqual({ words: '', more: 'as it was' })
  await leave()
  await open('finding:1')
  expect(draft.fields).toEqual({ words: 'Belt frayed', more: 'as it was' })
  draft.drop()
  await leave()
  await open('finding:1')
  expect(draft.fields).toEqual({ words: '', more: 'as it was' })
})
