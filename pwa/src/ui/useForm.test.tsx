// @vitest-environment happy-dom
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { en } from '../domain/words'
import { closeShop, openShop, requireShopSession } from '../store/session/shopSession'
import { TextField } from './components/Field'
import { Form } from './components/Form'
import { currentRoute } from './router'
import { currentToast } from './toast'
import { type FormState, type SaveRejection, useForm } from './useForm'

const root = document.createElement('div')
const save = vi.fn<(fields: { name: string; note: string }) => Promise<string | SaveRejection> | null>()
let form: FormState<{ name: string; note: string }, string>

function Screen({ draft }: { draft?: false }) {
  form = useForm<{ name: string; note: string }, string>({
    name: 'customer:7',
    blank: { name: '', note: '' },
    ...(draft === false && { draft }),
    check: ({ name }) => ({ name: !name.trim() && 'A name is missing.', note: null }),
    save,
    back: { at: 'customer', id: '7' },
    next: (id) => ({ at: 'job', id }),
    saved: ({ name }) => `${name} is saved`,
  })
  return (
    <Form id={form.id} errors={form.errors} onSubmit={() => form.submit()}>
      <TextField label="Note" {...form.field('note')} />
      <TextField label="Name" {...form.field('name')} />
    </Form>
  )
}
const open = (draft?: false) => act(() => render(<Screen {...(draft === false && { draft })} />, root))
/** Waits for all pending effects. */
const settled = (press: () => unknown) =>
  act(async () => {
    press()
    await new Promise((done) => setTimeout(done))
  })
const submit = () => settled(() => form.submit())
const drafts = () => [...requireShopSession().drafts.value.keys()]
const names = () => root.querySelector('[aria-invalid]')

beforeEach(async () => {
  document.body.append(root)
  await openShop({ shop_id: 'shop', member_id: 'ada' })
  currentRoute.value = { at: 'today' }
  save.mockReset()
})

afterEach(async () => {
  await act(() => render(null, root))
  const { db } = requireShopSession()
  await closeShop()
  await db.destroy()
})

test('an error is shown at its field, which takes the focus, and nothing is saved', async () => {
  await open()
  await submit()
  expect(save).not.toHaveBeenCalled()
  expect(form.field('name').error).toBe('A name is missing.')
  expect(form.field('note').error).toBeUndefined()
  expect(names()).not.toBeNull()
  expect(document.activeElement).toBe(names())
})

test('a saved form shows a toast, deletes its draft and navigates', async () => {
  save.mockResolvedValue('job-1')
  await open()
  await act(() => form.field('name').onValueChange('Miriam'))
  expect(drafts()).toEqual(['customer:7'])
  await submit()
  expect(save).toHaveBeenCalledExactlyOnceWith({ name: 'Miriam', note: '' })
  expect([drafts(), currentRoute.value, currentToast.value?.text]).toEqual([
    [],
    { at: 'job', id: 'job-1' },
    'Miriam is saved',
  ])
})

test('it is saved once however often it is pressed', async () => {
  let done = (_: string) => {}
  save.mockReturnValue(
    new Promise((resolve) => {
      done = resolve
    }),
  )
  await open()
  await act(() => form.update({ name: 'Miriam' }))
  await submit()
  expect(form.busy).toBe(true)
  await submit()
  await settled(() => done('job-1'))
  expect(save).toHaveBeenCalledOnce()
  expect(form.busy).toBe(false)
})

test('after a failed save everything stays and can be saved again', async () => {
  save.mockRejectedValueOnce(new Error('the disk is full')).mockResolvedValue('job-1')
  await open()
  await act(() => form.update({ name: 'Miriam' }))
  await submit()
  expect([drafts(), currentRoute.value, currentToast.value?.text]).toEqual([
    ['customer:7'],
    { at: 'today' },
    en.app.notSaved,
  ])
  await submit()
  expect(currentRoute.value).toEqual({ at: 'job', id: 'job-1' })
})

test('a refusal by the server is shown at its fields, or as a message', async () => {
  const field = { field: 'note', code: 'too_long', words: 'Too long.' }
  save.mockResolvedValueOnce({ done: false, words: 'Some fields are wrong.', fields: [field] })
  save.mockResolvedValueOnce({ done: false, words: 'There is no signal.', fields: [] })
  await open()
  await act(() => form.update({ name: 'Miriam' }))
  await submit()
  expect(form.errors).toEqual({ note: 'Too long.' })
  await submit()
  expect([form.errors, currentToast.value?.text, currentRoute.value]).toEqual([
    {},
    'There is no signal.',
    { at: 'today' },
  ])
})

test('a form without a draft leaves nothing on the phone', async () => {
  await open(false)
  await act(() => form.update({ name: 'Miriam' }))
  expect(form.fields.name).toBe('Miriam')
  expect(drafts()).toEqual([])
})

test('a removal can be undone, and the form is left', async () => {
  const undo = vi.fn(async () => {})
  await open()
  await act(() => form.update({ name: 'Miriam' }))
  await act(() => form.remove({ action: async () => undo, text: 'Removed' }))
  expect([drafts(), currentRoute.value, currentToast.value?.text]).toEqual([
    [],
    { at: 'customer', id: '7' },
    'Removed',
  ])
  currentToast.value?.undo?.()
  expect(undo).toHaveBeenCalledOnce()
})
