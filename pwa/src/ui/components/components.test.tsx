// @vitest-environment happy-dom
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { en } from '../../domain/words'
import { Choice } from './Choice'
import { Field } from './Field'
import { Form } from './Form'
import { Page } from './Page'
import { Row, Rows } from './Rows'
import { Stepper } from './Stepper'
import type { Telling } from './Told'
import { Verdict } from './Verdict'

let root: HTMLElement
beforeEach(() => {
  root = document.body.appendChild(document.createElement('div'))
})
afterEach(() => {
  render(null, root)
  root.remove()
})

const show = (what: preact.ComponentChild) => act(() => render(what, root))
const all = (selector: string) => [...root.querySelectorAll<HTMLElement>(selector)]
const first = (selector: string) => {
  const found = root.querySelector<HTMLElement>(selector)
  if (!found) throw new Error(`nothing on the page is ${selector}`)
  return found
}

test('a list shows sixty rows, then as many more as are asked for', async () => {
  const items = Array.from({ length: 130 }, (_, at) => `row ${at}`)
  await show(
    <Rows items={items} keyOf={String} empty="none">
      {(item) => <Row lead={item} />}
    </Rows>,
  )
  expect(all('li')).toHaveLength(60)
  await act(() => first('button').click())
  expect(all('li')).toHaveLength(120)
  expect(first('button').textContent).toBe(en.app.more(10))
  await act(() => first('button').click())
  expect(all('li')).toHaveLength(130)
  expect(all('button')).toEqual([])
})

test('a list says when it is being read, empty, or could not be read', async () => {
  const list = (items: string[] | undefined, failed = false, onRetry = () => {}) => (
    <Rows items={items} failed={failed} onRetry={onRetry} keyOf={String} empty="No job" emptyHint="Write one">
      {(item) => <Row lead={item} />}
    </Rows>
  )
  await show(list(undefined))
  expect(root.textContent).toContain(en.app.loading)
  await show(list([]))
  expect(root.textContent).toBe('No jobWrite one')
  const retry = vi.fn()
  await show(list(undefined, true, retry))
  expect(first('[role=alert]').textContent).toContain(en.app.failed)
  first('button').click()
  expect(retry).toHaveBeenCalledOnce()
})

test('a field is bound to its label, its hint and what is wrong with it', async () => {
  const typed = vi.fn()
  await show(
    <Field label="Hours" hint="As on the meter" value="x" wrong="Write a number" decimal onValue={typed} />,
  )
  const input = first('input') as HTMLInputElement
  expect(first('label').getAttribute('for')).toBe(input.id)
  const described = (input.getAttribute('aria-describedby') ?? '').split(' ')
  expect(described.map((id) => document.getElementById(id)?.textContent)).toEqual([
    'As on the meter',
    'Write a number',
  ])
  expect([input.type, input.inputMode, input.getAttribute('aria-invalid')]).toEqual([
    'text',
    'decimal',
    'true',
  ])
  input.value = '1.5'
  input.dispatchEvent(new Event('input', { bubbles: true }))
  expect(typed).toHaveBeenCalledWith('1.5')
})

test('after a refused save the first field that is wrong has the focus', async () => {
  const form = (wrong: Record<string, string>) => (
    <Form id="f" wrong={wrong} onSend={() => {}}>
      <Field label="A" value="" onValue={() => {}} />
      <Field label="B" value="" wrong={wrong['b']} onValue={() => {}} />
    </Form>
  )
  await show(form({}))
  await show(form({ b: 'Write B' }))
  expect(document.activeElement).toBe(all('input')[1])
})

test('yes and no weigh the same and say what they are said to', async () => {
  const answered = vi.fn()
  const verdict = (answer: 'yes' | 'no' | null) => (
    <Verdict words="Brake band" amount="$71.25" answer={answer} onAnswer={answered} />
  )
  await show(verdict(null))
  const [yes, no] = all('button')
  expect([yes?.className, yes?.getAttribute('aria-label')]).toEqual([
    no?.className,
    en.quote.owner.yesTo('Brake band'),
  ])
  no?.click()
  expect(answered).toHaveBeenCalledWith('no')
  await show(verdict('no'))
  expect(all('button').map((key) => [key.textContent, key.getAttribute('aria-pressed')])).toEqual([
    [en.quote.owner.yes, 'false'],
    [en.quote.owner.saidNo, 'true'],
  ])
})

test('choice and stepper tell what was chosen', async () => {
  const chosen = vi.fn()
  const stepped = vi.fn()
  await show(
    <>
      <Choice
        label="Rank"
        value={null}
        options={[
          { value: 'a', words: 'A' },
          { value: 'b', words: 'B' },
        ]}
        onValue={chosen}
      />
      <Stepper
        label="Hours"
        value="1"
        lessWords="less"
        moreWords="more"
        onValue={() => {}}
        onStep={stepped}
      />
    </>,
  )
  all('input[type=radio]')[1]?.click()
  expect(chosen).toHaveBeenCalledWith('b')
  for (const key of all('.stepper button')) key.click()
  expect(stepped.mock.calls).toEqual([[-1], [1]])
})

test('a page names itself, takes the focus and keeps its live region in place', async () => {
  const page = (told: Telling | null) => (
    <Page title="Jobs" queue={{ words: '3 things waiting for signal', calls: false }} told={told}>
      <p>work</p>
    </Page>
  )
  await show(page(null))
  expect(document.title).toBe(`Jobs · ${en.app.name}`)
  expect(document.activeElement).toBe(first('h1'))
  const region = first('.told')
  const dismiss = vi.fn()
  await show(page({ words: 'Saved', dismiss }))
  expect(first('.told')).toBe(region)
  expect([region.getAttribute('role'), first('.told span').textContent]).toEqual(['status', 'Saved'])
  all('.told button')[0]?.click()
  expect(dismiss).toHaveBeenCalledOnce()
  expect(first('.strip').textContent).toContain('3 things waiting for signal')
})
