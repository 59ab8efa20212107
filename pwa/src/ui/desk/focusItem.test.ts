// @vitest-environment happy-dom
import { afterEach, expect, test, vi } from 'vitest'
import { focusFirstField, focusOpenItem } from './focusItem'

afterEach(() => document.body.replaceChildren())

const open = () => {
  document.body.innerHTML =
    '<input id="filter"><section class="desk-item"><h1 tabindex="-1">New job</h1><form><input id="who"><input></form></section>'
}
const focused = (found: () => unknown) => vi.waitFor(() => expect(found()).toBe(true))

test('a form opened by its key has the focus in its first field, though its code comes later', async () => {
  document.body.innerHTML = '<section class="desk-item"></section>'
  focusFirstField()
  await new Promise((done) => setTimeout(done, 60))
  open()
  await focused(() => document.activeElement?.id === 'who')
})

test('any other item has it at its heading', async () => {
  open()
  focusOpenItem()
  await focused(() => document.activeElement?.tagName === 'H1')
})
