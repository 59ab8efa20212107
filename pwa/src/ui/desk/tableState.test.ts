import { signal } from '@preact/signals'
import { beforeEach, expect, test, vi } from 'vitest'
import { SavedViews } from './savedViewStore'
import type { TableOf } from './table'
import { TableState } from './tableState'

interface Row {
  readonly id: string
  readonly name: string
  readonly late: boolean
  readonly minor: number | null
}

const rows = signal<readonly Row[]>([])
const derive = vi.fn(() => rows.value)
const TABLE: TableOf<Row> = {
  key: 'some',
  title: 'Some',
  rows: derive,
  idOf: ({ id }) => id,
  to: ({ id }) => ({ at: 'job', id }),
  columns: [
    { key: 'name', label: 'Name', value: ({ name }) => name, width: 5 },
    { key: 'minor', label: 'Left', kind: 'money', value: ({ minor }) => minor, width: 5 },
    { key: 'id', label: 'Id', value: ({ id }) => id, width: 5, hidden: true },
  ],
  views: [
    { key: 'all', label: 'All', has: () => true },
    { key: 'late', label: 'Late', has: ({ late }) => late },
  ],
  sort: { key: 'name' },
  onPhone: ({ name }) => ({ title: name }),
}

let state: TableState<Row>
const shownIds = () => state.shown.value.map(({ id }) => id)

beforeEach(() => {
  rows.value = [
    { id: 'a', name: 'Voss', late: true, minor: 57_375 },
    { id: 'b', name: 'Abara', late: false, minor: -120 },
    { id: 'c', name: '=Kessler', late: true, minor: null },
  ]
  derive.mockClear()
  state = new TableState(TABLE)
})

test('views count all rows, whatever the filter', () => {
  state.arrange({ filter: 'voss' })
  expect(state.counts.value).toEqual({ all: 3, late: 2 })
  expect(shownIds()).toEqual(['a'])
})

test('a view, a filter and an order act together', () => {
  state.arrange({ view: 'late' })
  state.sortBy('minor')
  expect(shownIds()).toEqual(['a', 'c'])
  state.arrange({ view: 'all' })
  expect(shownIds()).toEqual(['b', 'a', 'c'])
  state.sortBy('minor')
  expect(shownIds()).toEqual(['a', 'b', 'c'])
  state.sortBy('minor')
  expect(state.arrangement.value.sort).toEqual({ key: 'minor' })
})

test('rows are derived once for each change', () => {
  for (const filter of ['', 'v', 'vo', '']) {
    state.arrange({ filter })
    expect(state.shown.value.length).toBeGreaterThan(0)
    expect(state.counts.value).toHaveProperty('all', 3)
  }
  state.sortBy('minor')
  shownIds()
  expect(derive).toHaveBeenCalledTimes(1)
  rows.value = rows.value.slice(1)
  expect(shownIds()).not.toContain('a')
  expect(derive).toHaveBeenCalledTimes(2)
})

test('the CSV holds what is shown, or all that is selected', () => {
  expect(state.csv()).toBe("Name,Left\r\n'=Kessler,\r\nAbara,-1.20\r\nVoss,573.75\r\n")
  state.toggle('a')
  expect(state.csv()).toBe('Name,Left\r\nVoss,573.75\r\n')
  state.arrange({ filter: 'abara' })
  state.toggleColumn('id')
  expect(state.csv()).toBe('Name,Left,Id\r\nVoss,573.75,a\r\n')
  state.selected.value = new Set()
  expect(state.csv()).toBe('Name,Left,Id\r\nAbara,-1.20,b\r\n')
})

test('all rows shown are selected at once, and cleared', () => {
  state.arrange({ view: 'late' })
  state.toggleAll()
  expect([...state.selected.value].sort()).toEqual(['a', 'c'])
  state.toggleAll()
  expect(state.selected.value.size).toBe(0)
})

test('the last column cannot be taken away, and columns keep the order of the table', () => {
  state.toggleColumn('name')
  state.toggleColumn('minor')
  expect(state.columns.value.map(({ key }) => key)).toEqual(['minor'])
  state.toggleColumn('id')
  state.toggleColumn('name')
  expect(state.columns.value.map(({ key }) => key)).toEqual(['name', 'minor', 'id'])
})

test('a view of another build that names nothing known shows what the table opens with', () => {
  state.arrange({ view: 'gone', columns: ['gone'], sort: { key: 'gone' } })
  expect(state.columns.value.map(({ key }) => key)).toEqual(['name', 'minor'])
  expect(shownIds()).toEqual(['a', 'b', 'c'])
})

test('views are kept by member and name, and deleted', () => {
  const view = { ...state.arrangement.value, filter: 'zt', name: 'Zero turns' }
  const first = new SavedViews('m1')
  first.save('some', view)
  first.save('some', { ...view, filter: 'zt 54' })
  expect(new SavedViews('m1').of('some')).toEqual([{ ...view, filter: 'zt 54' }])
  expect(new SavedViews('m1').of('other')).toEqual([])
  expect(new SavedViews('m2').of('some')).toEqual([])
  new SavedViews('m1').remove('some', 'Zero turns')
  expect(new SavedViews('m1').of('some')).toEqual([])
})
