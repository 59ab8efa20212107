// @vitest-environment happy-dom
/** The import of an address book against a server played here: mapping, counts, progress, a line that breaks, undo. */
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { LARGEST_ADDRESS_BOOK } from '../../../domain/contract'
import type { BookImport, ImportCheck } from '../../../store/customerImports'
import { ImportCustomers } from './ImportCustomers'

const root = document.createElement('div')
document.body.append(root)

const columns = [
  { place: 0, header: 'Kunde', field: '', examples: ['Ada Lovell', 'Tobias Quill'] },
  { place: 1, header: '', field: 'phone', examples: ['555 014 7001'] },
]
const empty: ImportCheck = {
  columns,
  fields: ['name', 'phone'],
  names_missing: true,
  rows: 3,
  to_add: 0,
  known: 0,
  similar: 0,
  broken: 0,
  known_rows: [],
  broken_rows: [],
  notices: [],
}
const mapped: ImportCheck = {
  ...empty,
  names_missing: false,
  to_add: 1,
  known: 1,
  broken: 1,
  known_rows: [
    { row: 3, name: 'Tobias Quill', known_name: 'T. Quill', why: ['same phone'], in_import: false },
  ],
  broken_rows: [{ row: 4, name: '', field: 'name', code: 'missing', words: 'There is no name here.' }],
}
const row = (id: string, more: Partial<BookImport>): BookImport => ({
  id,
  file_name: 'book.csv',
  state: 'running',
  total: 2,
  done: 0,
  added: 0,
  left_out: 1,
  refused: [],
  ...more,
})

let imports: BookImport[]
let asked: [method: string, path: string, body: Record<string, unknown>][]
let offline: boolean
let checks: ImportCheck[]

function answer(method: string, path: string): unknown {
  const [, id = '', act] = /customer-imports\/([^/?]+)(?:\/(\w+))?/.exec(path) ?? []
  if (path.includes('?limit')) return { rows: imports, next: null }
  if (id === 'upload') return {}
  if (act === 'check') return checks.shift() ?? mapped
  if (act === 'start') imports = [row(id, {})]
  if (act === 'undo') imports = [row(id, { state: 'undone' })]
  return method === 'POST' ? {} : imports.find((each) => each.id === id)
}

beforeEach(() => {
  imports = []
  asked = []
  offline = false
  checks = [empty]
  vi.stubGlobal('fetch', async (path: string, { method, body }: { method: string; body?: BodyInit }) => {
    if (offline) throw new TypeError('offline')
    if (path === '/api/v1/session') return Response.json({ csrf: 't' })
    const text = body instanceof Uint8Array ? new TextDecoder().decode(body) : body
    asked.push([method, path, typeof text === 'string' && text.startsWith('{') ? JSON.parse(text) : text])
    const content = JSON.stringify(answer(method, path))
    return new Response(content, { headers: { 'Content-Type': 'application/json' } })
  })
})

afterEach(async () => {
  await act(() => render(null, root))
  vi.unstubAllGlobals()
})

const button = (label: string) =>
  [...root.querySelectorAll('button')].find(({ textContent }) => textContent?.startsWith(label))

async function choose(content = 'Kunde,\nAda,1'): Promise<void> {
  const input = root.querySelector<HTMLInputElement>('input[type=file]')
  if (!input) throw new Error('there is no file input')
  Object.defineProperty(input, 'files', {
    value: [new File([content], 'book.csv')],
    configurable: true,
  })
  await act(() => void input.dispatchEvent(new Event('change', { bubbles: true })))
}
const seen = (text: string) => vi.waitFor(() => expect(root.textContent).toContain(text))

test('the owner says which column holds the name, sees what would happen, and adds', async () => {
  await act(() => render(<ImportCustomers />, root))
  await choose()
  await seen('Say which column holds the name.')
  expect(button('Add')).toBeUndefined()
  expect(root.textContent).toContain('Ada Lovell · Tobias Quill')
  const select = root.querySelector('select')
  if (!select) throw new Error('there is no column')
  select.value = 'name'
  await act(() => void select.dispatchEvent(new Event('change', { bubbles: true })))
  await seen('Add 1 customer')
  expect(asked.at(-1)?.[2]).toEqual({ fields: { 0: 'name' }, add_rows: [], add_similar: false })
  expect(root.textContent).toContain('Row 4Name: There is no name here.')
  expect(root.textContent).toContain('Row 3: Tobias Quill')
  await act(() => button('Add 1 customer')?.click())
  await seen('0 of 2 added')
  const start = asked.find(([, path]) => path.endsWith('/start'))
  expect(start?.[2]).toMatchObject({ fields: { 0: 'name' }, add_similar: false })
  // It is the import under whose id the file was uploaded.
  const upload = asked.find(([, path]) => path.includes('/upload?'))
  expect(upload?.[1]).toContain(`id=${start?.[2]['id']}`)
  imports = imports.map((each) => ({ ...each, state: 'done', done: 2, added: 2 }))
  await vi.waitFor(() => expect(root.textContent).toContain('2 customers added'), { timeout: 3000 })
  await act(() => button('Undo this import')?.click())
  await act(() => button('Delete the 2 customers')?.click())
  await seen('Undone')
})

test('a file that is too large is not sent', async () => {
  await act(() => render(<ImportCustomers />, root))
  await choose('x'.repeat(LARGEST_ADDRESS_BOOK + 1))
  await seen('larger than 3 MB')
  expect(LARGEST_ADDRESS_BOOK).toBe(3 * 1024 * 1024)
  expect(asked.filter(([method]) => method === 'POST')).toEqual([])
})

test('a line that breaks loses nothing: the same upload is sent again', async () => {
  await act(() => render(<ImportCustomers />, root))
  offline = true
  await choose()
  await seen('No signal. Nothing is lost')
  offline = false
  await act(() => button('Try again')?.click())
  await seen('Say which column holds the name.')
})

test('an import that was left on the way is taken up again', async () => {
  imports = [row('0197c000-0000-7000-8000-00000000000a', { done: 1 })]
  await act(() => render(<ImportCustomers />, root))
  await seen('1 of 2 added')
  imports = imports.map((each) => ({ ...each, state: 'done', done: 2, added: 2 }))
  await vi.waitFor(() => expect(root.textContent).toContain('2 customers added'), { timeout: 3000 })
})

test('a file that was left without a column for the name is not brought up again', async () => {
  imports = [row('0197c000-0000-7000-8000-00000000000a', { state: 'uploaded' })]
  await act(() => render(<ImportCustomers />, root))
  await vi.waitFor(() => expect(asked.some(([, path]) => path.endsWith('/check'))).toBe(true))
  await seen('Choose a file')
  expect(root.textContent).not.toContain('Choose another file')
  expect(root.textContent).not.toContain('Say which column holds the name.')
})

test('rows that could not be added have a heading', async () => {
  const refused = [{ row: 4, name: 'Ada', field: 'email', code: 'bad', words: 'This is no email address.' }]
  imports = [row('0197c000-0000-7000-8000-00000000000a', { refused })]
  await act(() => render(<ImportCustomers />, root))
  await seen("Can't be added")
  expect(root.querySelector('h3')?.nextElementSibling?.textContent).toContain('Row 4: Ada')
})

test('a file that was uploaded before is shown with what it would do', async () => {
  imports = [row('0197c000-0000-7000-8000-00000000000a', { state: 'uploaded' })]
  checks = [mapped]
  await act(() => render(<ImportCustomers />, root))
  await seen('Add 1 customer')
})
