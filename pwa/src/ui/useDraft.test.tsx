// @vitest-environment happy-dom
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { editCustomer } from '../store/customerEdits'
import { addCustomer, customer } from '../store/customers'
import type { DraftRecord } from '../store/database/shopDatabase'
import { adoptOldDrafts, discardDraft } from '../store/drafts'
import { Phone } from '../store/fakes/phone'
import { FakeServer } from '../store/fakes/server'
import { formPicturesOf } from '../store/pictures/attachments'
import { addPreparedFormPicture } from '../store/pictures/pictures'
import { closeShop, openShop, requireShopSession } from '../store/session/shopSession'
import { parseRoute } from './router'
import { type Draft, startDraft, useDraft, useOriginal } from './useDraft'

interface Fields {
  words: string
  more: string
}
const BLANK = { words: '', more: 'as it was' }
const root = document.createElement('div')
const WHO = { shop_id: 'shop', member_id: 'ada' }
/** The delay before input is stored. */
const A_SECOND = { timeout: 1_000, interval: 20 }
let draft: Draft<Fields>

function Typing({ name }: { name: string }) {
  draft = useDraft<Fields>(name, BLANK)
  return null
}
const open = (name: string) => act(() => render(<Typing key={name} name={name} />, root))
const leave = () => act(() => render(null, root))
const stored = () =>
  requireShopSession().db.run('readonly', ['drafts'], (tx) => tx.objectStore('drafts').getAll())
const names = () => [...requireShopSession().drafts.value.keys()]

beforeEach(async () => {
  sessionStorage.clear()
  localStorage.clear()
  await openShop(WHO)
})

afterEach(async () => {
  await leave()
  const { db } = requireShopSession()
  await closeShop()
  await db.destroy()
})

const ABOUT = { path: '/', title: '', over: '', typed_at: 1 }

/** Stores drafts as a build before did. */
const store = (...drafts: (Partial<DraftRecord> & { name: string; fields: object })[]) =>
  requireShopSession().db.run('readwrite', ['drafts'], async (tx) => {
    for (const each of drafts) await tx.objectStore('drafts').put({ ...ABOUT, ...each })
  })

/** The app after its page ended without an event, such as by an empty battery. */
async function reopened() {
  await leave()
  const { db, channel } = requireShopSession()
  channel.close()
  await db.close()
  await openShop(WHO)
}

test('a draft of an earlier build keeps the value of a renamed field', async () => {
  const seen = { follow_ups: { check_in: 30, ask_owner: true } }
  await store(
    { name: 'new-job:', fields: { owner: 'Winnie', phone: '555' } },
    { name: 'hand:1', fields: { owner: 'sign' } },
    { name: 'messages:1', fields: { ask_owner: false }, seen },
    { name: 'shop:1', fields: { paper: 'a4' }, seen: { paper: 'letter' } },
  )
  await reopened()
  await open('new-job:')
  expect(draft.fields).toEqual({ ...BLANK, customerName: 'Winnie', phone: '555' })
  await open('hand:1')
  expect(draft.fields).toEqual({ ...BLANK, customerStep: 'sign' })
  await open('messages:1')
  expect(draft.fields).toEqual({ ...BLANK, ask_customer: false })
  const { drafts } = requireShopSession()
  expect(drafts.value.get('shop:1')).toMatchObject({
    fields: { paper_size: 'a4' },
    seen: { paper_size: 'letter' },
  })
  expect(drafts.value.get('messages:1')?.seen).toEqual({ follow_ups: { check_in: 30, ask_customer: true } })
})

const WORDING = { words: '{owner} asks', more: 'owner_asked stays' }
const RENAMED_WORDING = {
  name: 'wording:customer_asked:push',
  path: '/wordings/customer_asked/push',
  fields: { words: '{customer} asks', more: 'owner_asked stays' },
}

test('a form whose address was renamed is listed, opened and discarded under its new one', async () => {
  await store({ name: 'wording:owner_asked:push', path: '/wordings/owner_asked/push', fields: WORDING })
  await reopened()
  expect([...requireShopSession().drafts.value.values()]).toMatchObject([RENAMED_WORDING])
  expect(parseRoute(new URL(RENAMED_WORDING.path, location.origin))).toMatchObject({
    at: 'wording',
    id: 'customer_asked',
  })
  await open(RENAMED_WORDING.name)
  expect(draft.fields).toEqual(RENAMED_WORDING.fields)
  await expect.poll(stored, A_SECOND).toMatchObject([RENAMED_WORDING])
  draft.discard()
  await expect.poll(stored, A_SECOND).toEqual([])
  await reopened()
  expect(names()).toEqual([])
})

test('input that a closing page of an earlier build kept is found under the new name', async () => {
  const { lateDraftsKey } = requireShopSession()
  const late = {
    ...ABOUT,
    name: 'wording:owner_asked:push',
    path: '/wordings/owner_asked/push',
    fields: WORDING,
  }
  localStorage.setItem(lateDraftsKey, JSON.stringify([[late.name, late]]))
  await reopened()
  expect([...requireShopSession().drafts.value.values()]).toMatchObject([RENAMED_WORDING])
})

test('input is restored after the form was left, until it is discarded', async () => {
  await open('finding:1')
  await act(() => draft.update({ words: 'Belt ' }))
  await act(() => draft.update({ words: 'Belt frayed' }))
  await leave()
  await open('finding:2')
  expect(draft.fields).toEqual(BLANK)
  await leave()
  await open('finding:1')
  expect(draft.fields).toEqual({ words: 'Belt frayed', more: 'as it was' })
  draft.discard()
  await leave()
  await open('finding:1')
  expect(draft.fields).toEqual(BLANK)
})

test('input is stored within a second and survives a crash', async () => {
  await open('finding:1')
  await act(() => draft.update({ words: 'Belt frayed' }))
  await expect.poll(stored, A_SECOND).toMatchObject([{ name: 'finding:1', fields: { words: 'Belt frayed' } }])
  await reopened()
  expect(names()).toEqual(['finding:1'])
  await open('finding:1')
  expect(draft.fields.words).toBe('Belt frayed')
  draft.discard()
  await expect.poll(stored, A_SECOND).toEqual([])
})

test('a closing page keeps the last input although its database accepts no writes', async () => {
  await open('finding:1')
  await act(() => draft.update({ words: 'Belt frayed' }))
  const { db } = requireShopSession()
  const run = vi.spyOn(db, 'run').mockRejectedValue(new DOMException('the page ends', 'AbortError'))
  dispatchEvent(new Event('pagehide'))
  run.mockRestore()
  await reopened()
  expect(names()).toEqual(['finding:1'])
  adoptOldDrafts()
  await expect.poll(stored, A_SECOND).toMatchObject([{ fields: { words: 'Belt frayed' } }])
  // Once stored it is not restored from there.
  await open('finding:1')
  draft.discard()
  await expect.poll(stored, A_SECOND).toEqual([])
  await reopened()
  expect(names()).toEqual([])
})

test('a form that was emptied again is not unfinished', async () => {
  await open('finding:1')
  await act(() => draft.update({ words: 'B' }))
  expect(names()).toEqual(['finding:1'])
  await act(() => draft.update({ words: '' }))
  expect(names()).toEqual([])
  await expect.poll(stored, A_SECOND).toEqual([])
})

test('a draft of one member is not shown to another', async () => {
  await open('finding:1')
  await act(() => draft.update({ words: 'Belt frayed' }))
  await leave()
  const ada = requireShopSession()
  const otis = await openShop({ shop_id: 'shop', member_id: 'otis' })
  await open('finding:1')
  expect(draft.fields).toEqual(BLANK)
  await closeShop()
  await otis.db.destroy()
  await ada.db.close()
  await openShop(WHO)
})

test('drafts of the version before are imported from their window', async () => {
  sessionStorage.setItem('draft:complaint:7', JSON.stringify({ words: 'Pulls to the left' }))
  await open('complaint:7')
  expect(draft.fields).toEqual({ words: 'Pulls to the left', more: 'as it was' })
  await expect.poll(stored, A_SECOND).toMatchObject([{ name: 'complaint:7', path: '/jobs/7/complaint' }])
  expect(sessionStorage.length).toBe(0)
})

test('pictures whose draft was lost with the window of the version before are listed as unfinished', async () => {
  const unsaid = { form: 'finding:1', taken_at: '2026-11-28T10:42:00Z', caption: '' }
  const shrunk = { picture: { type: 'image/jpeg', content: new ArrayBuffer(3) }, small: null }
  await addPreparedFormPicture(unsaid, shrunk)
  adoptOldDrafts()
  expect([...requireShopSession().drafts.value.values()]).toMatchObject([
    { name: 'finding:1', path: '/jobs/1/finding' },
  ])
})

test('a phone that was signed off keeps no draft', async () => {
  await open('finding:1')
  await act(() => draft.update({ words: 'Belt frayed' }))
  await expect.poll(stored, A_SECOND).toHaveLength(1)
  const phone = await Phone.open(new FakeServer(), WHO)
  await phone.local.retire()
  expect(await stored()).toEqual([])
  await phone.close()
})

test('a picture of an unsaved form has a draft, is discarded and restored with it', async () => {
  const unsaid = { form: 'finding:1', taken_at: '2026-11-28T10:42:00Z', caption: '' }
  const content = new Uint8Array([1, 2, 3]).buffer
  const shrunk = { picture: { type: 'image/jpeg', content }, small: content }
  expect(await addPreparedFormPicture(unsaid, shrunk)).toMatchObject({ done: true })
  startDraft('finding:1')
  const pictures = () =>
    requireShopSession().db.run('readonly', ['pictures'], (tx) => tx.objectStore('pictures').getAll())
  const before = await pictures()
  expect(before).toHaveLength(2)
  const kept = requireShopSession().drafts.value.get('finding:1')
  if (!kept) throw new Error('a picture makes a draft')
  const undo = await discardDraft(kept)
  expect(await pictures()).toEqual([])
  expect([names(), formPicturesOf('finding:1')]).toEqual([[], []])
  await undo()
  expect(names()).toEqual(['finding:1'])
  expect(formPicturesOf('finding:1')).toHaveLength(1)
  expect(await pictures()).toEqual(before)
})

test('a draft edits the row as it was at its start, so that others’ later changes stay', async () => {
  await addCustomer({ name: 'Miriam', phone: '1' })
  const { id } = customers()
  function Change() {
    const row = customer(id)
    if (!row) return null
    const seen = useOriginal(`customer:${id}`, row)
    const { update } = useDraft(`customer:${id}`, { name: row.name, phone: row.phone })
    change = { update, save: () => editCustomer(seen, { name: 'Miriam B', phone: seen.phone }) }
    return null
  }
  let change: { update: (changed: { name: string }) => void; save: () => Promise<void> } | undefined
  await act(() => render(<Change />, root))
  await act(() => change?.update({ name: 'Miriam B' }))
  await leave()
  const row = customer(id)
  if (!row) throw new Error('the customer is there')
  await editCustomer(row, { phone: '2' })
  await reopened()
  await act(() => render(<Change />, root))
  await change?.save()
  expect(customer(id)).toMatchObject({ name: 'Miriam B', phone: '2' })
  expect(requireShopSession().view.outbox.value.at(-1)?.args).toMatchObject({
    base: { name: 'Miriam' },
    set: { name: 'Miriam B' },
  })
})

test('a form opens once its row has been fetched, and keeps that version', async () => {
  let seen: { phone: string } | undefined
  function Change({ row }: { row: { phone: string } | undefined }) {
    seen = useOriginal('customer:late', row)
    return null
  }
  await act(() => render(<Change row={undefined} />, root))
  expect(seen).toBeUndefined()
  await act(() => render(<Change row={{ phone: '1' }} />, root))
  await act(() => render(<Change row={{ phone: '2' }} />, root))
  expect(seen).toEqual({ phone: '1' })
})

function customers() {
  const [row] = requireShopSession().view.all('customer')
  if (!row) throw new Error('a customer was added')
  return row
}
