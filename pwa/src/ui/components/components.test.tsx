// @vitest-environment happy-dom
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { en } from '../../domain/words'
import { CheckboxGroup } from './CheckboxGroup'
import { TextField } from './Field'
import { Form } from './Form'
import { LineDecision } from './LineDecision'
import { List, ListItem } from './List'
import { NumberStepper } from './NumberStepper'
import { Page } from './Page'
import { RadioGroup } from './RadioGroup'
import { SignatureField } from './SignatureField'
import { PlaceBar, SearchLink, StatusLine } from './StatusLine'
import { Announcer, type ToastMessage } from './Toast'

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

test('a list shows sixty rows, then sixty more per press', async () => {
  const items = Array.from({ length: 130 }, (_, at) => `row ${at}`)
  await show(
    <List items={items} keyOf={String} empty="none">
      {(item) => <ListItem title={item} />}
    </List>,
  )
  expect(all('li')).toHaveLength(60)
  await act(() => first('button').click())
  expect(all('li')).toHaveLength(120)
  expect(first('button').textContent).toBe(en.app.more(10))
  await act(() => first('button').click())
  expect(all('li')).toHaveLength(130)
  expect(all('button')).toEqual([])
})

test('a list shows its loading, empty and failed states', async () => {
  const list = (items: string[] | undefined, failed = false, onRetry = () => {}) => (
    <List items={items} failed={failed} onRetry={onRetry} keyOf={String} empty="No job" emptyHint="Write one">
      {(item) => <ListItem title={item} />}
    </List>
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

test('a field is bound to its label, hint and error', async () => {
  const typed = vi.fn()
  await show(
    <TextField
      label="Hours"
      hint="As on the meter"
      value="x"
      error="Write a number"
      decimal
      onValueChange={typed}
    />,
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

test('after a refused save the first invalid field has the focus', async () => {
  const form = (errors: Record<string, string>) => (
    <Form id="f" errors={errors} onSubmit={() => {}}>
      <TextField label="A" value="" onValueChange={() => {}} />
      <TextField label="B" value="" error={errors['b']} onValueChange={() => {}} />
    </Form>
  )
  await show(form({}))
  await show(form({ b: 'Write B' }))
  expect(document.activeElement).toBe(all('input')[1])
})

const described = (element: Element | null | undefined) =>
  document.getElementById(element?.getAttribute('aria-describedby') ?? '')?.textContent

test('the error of a choice is tied to its group, and the focus goes to the first faulty one', async () => {
  const nothing = () => {}
  const options = [
    { value: 'a', label: 'A' },
    { value: 'b', label: 'B' },
  ]
  const form = (error?: string) => (
    <Form id="f" errors={error ? { it: error } : {}} onSubmit={nothing}>
      <RadioGroup label="Rank" value={null} options={options} error={error} onValueChange={nothing} />
      <CheckboxGroup label="Views" values={[]} options={options} error={error} onValuesChange={nothing} />
      <LineDecision title="Brake band" amount="$1" answer={null} error={error} onAnswer={nothing} />
    </Form>
  )
  await show(form())
  expect(all('[aria-describedby], [aria-invalid]')).toEqual([])
  await show(form('Choose one'))
  for (const each of all('fieldset, fieldset input, .decision-buttons > button'))
    expect(described(each)).toBe('Choose one')
  expect(all('[aria-invalid]')).toHaveLength(6)
  expect(document.activeElement).toBe(all('input')[0])
})

test('a missing signature takes the focus and is described by its error', async () => {
  const form = (error?: string) => (
    <Form id="f" errors={{ ink: error }} onSubmit={() => {}}>
      <SignatureField
        label="Signature"
        hint="Sign here"
        clearLabel="Clear"
        error={error}
        initial={[]}
        onChange={() => {}}
        onClear={() => {}}
      />
    </Form>
  )
  const pen = new Proxy({}, { get: () => () => {}, set: () => true }) as CanvasRenderingContext2D
  const getContext = vi.spyOn(HTMLCanvasElement.prototype, 'getContext').mockReturnValue(pen as never)
  await show(form('Please sign'))
  expect(document.activeElement).toBe(first('fieldset'))
  expect(described(document.activeElement)).toBe('Please sign')
  getContext.mockRestore()
})

test('an empty date says that it is none, over what the browser draws', async () => {
  const field = (value: string) => (
    <TextField label="Due" type="date" value={value} onValueChange={() => {}} />
  )
  await show(field(''))
  expect(described(first('input'))).toBe(en.app.noDate)
  expect(first('.unset').nextElementSibling).toBe(first('input'))
  await show(field('2026-05-06'))
  expect(all('.unset')).toEqual([])
  expect(first('input').hasAttribute('aria-describedby')).toBe(false)
})

test('yes and no have equal size and name their line', async () => {
  const answered = vi.fn()
  const verdict = (answer: 'yes' | 'no' | null) => (
    <LineDecision title="Brake band" amount="$71.25" answer={answer} onAnswer={answered} />
  )
  await show(verdict(null))
  const [yes, no] = all('button')
  expect([yes?.className, yes?.getAttribute('aria-label')]).toEqual([
    no?.className,
    en.quote.customer.yesTo('Brake band'),
  ])
  no?.click()
  expect(answered).toHaveBeenCalledWith('no')
  await show(verdict('no'))
  expect(all('button').map((key) => [key.textContent, key.getAttribute('aria-pressed')])).toEqual([
    [en.quote.customer.yes, 'false'],
    [en.quote.customer.saidNo, 'true'],
  ])
})

test('radio group and stepper report the chosen value', async () => {
  const chosen = vi.fn()
  const stepped = vi.fn()
  await show(
    <>
      <RadioGroup
        label="Rank"
        value={null}
        options={[
          { value: 'a', label: 'A' },
          { value: 'b', label: 'B' },
        ]}
        onValueChange={chosen}
      />
      <NumberStepper
        label="Hours"
        value="1"
        decreaseLabel="less"
        increaseLabel="more"
        onValueChange={() => {}}
        onStep={stepped}
      />
    </>,
  )
  all('input[type=radio]')[1]?.click()
  expect(chosen).toHaveBeenCalledWith('b')
  for (const key of all('.stepper button')) key.click()
  expect(stepped.mock.calls).toEqual([[-1], [1]])
})

test('a page has a heading with the focus, and says what happened with a way to dismiss it', async () => {
  const page = (toast: ToastMessage | null) => (
    <Page title="Jobs" toast={toast}>
      <p>work</p>
    </Page>
  )
  await show(page(null))
  expect(document.title).toBe(`Jobs · ${en.app.name}`)
  expect(document.activeElement).toBe(first('h1'))
  const region = first('.toast')
  const dismiss = vi.fn()
  await show(page({ text: 'Saved', dismiss }))
  expect(first('.toast')).toBe(region)
  expect(first('.toast span').textContent).toBe('Saved')
  all('.toast button')[0]?.click()
  expect(dismiss).toHaveBeenCalledOnce()
})

test('the status line says where Back leads and what is unsent', async () => {
  await show(
    <StatusLine
      label="Drawbar"
      place="Jobs"
      back={{ at: 'jobs' }}
      sync={{ text: '3 to send', label: '3 to send, no signal', mark: 'no-signal' }}
      end={<SearchLink label="Search" to={{ at: 'find' }} />}
    />,
  )
  expect(first('.place').getAttribute('href')).toBe('/jobs')
  expect(first('.place').getAttribute('rel')).toBe('prev')
  expect(first('.sync-status').getAttribute('aria-label')).toBe('3 to send, no signal')
  expect(first('.search-link').textContent).toBe('Search')
})

test('the bar marks the place that a screen belongs to', async () => {
  const places = [
    { at: 'today', text: 'Today', path: '/' },
    { at: 'jobs', text: 'Jobs', path: '/jobs' },
  ]
  await show(<PlaceBar label="Places" places={places} current="jobs" />)
  expect(all('.place-bar a').map((link) => link.getAttribute('aria-current'))).toEqual([null, 'page'])
})

test('what happened is announced from a region that stays', async () => {
  await show(<Announcer text={undefined} />)
  const region = first('[role=status]')
  await show(<Announcer text="Saved" />)
  expect(first('[role=status]')).toBe(region)
  expect(region.textContent).toBe('Saved')
})
