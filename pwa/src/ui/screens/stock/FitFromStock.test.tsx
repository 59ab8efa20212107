// @vitest-environment happy-dom
import { expect, test, vi } from 'vitest'
import type { CatalogPart, Job, PartNeed, StockMove, StockPlace } from '../../../domain/contract'
import { DEFAULTS } from '../../../domain/contractDefaults'
import { parts as words } from '../../../domain/words/parts'
import { stock as t } from '../../../domain/words/stock'
import { allOf, byId } from '../../../store/rows/selectors'
import { levelAt, missingOf } from '../../../store/stock'
import { born, button, press, root, showScreen } from '../../fakes/screen'
import { FitFromStock } from './FitFromStock'

vi.mock('../../../store/session/session', async () => {
  const { signal } = await import('@preact/signals')
  return { permissions: signal(new Set()), session: signal({ member: { id: 'me' } }) }
})

/** A job that needs a belt; so many are in the member's truck, one is on the shelf. */
const showFitting = (inTruck: string, more: Partial<PartNeed> = {}) =>
  showScreen(
    (server) => {
      const made = born()
      server.put('job', { ...DEFAULTS.job, ...made, id: 'job', waits_on: ['parts'] } as unknown as Job)
      const part = { id: 'belt', number: 'HV-1204', description: 'Deck belt', minimum: '2' }
      server.put('catalog_part', { ...DEFAULTS.catalog_part, ...made, ...part } as CatalogPart)
      const need = { id: 'need', job_id: 'job', number: 'hv 1204', description: 'Belt', state: 'wanted' }
      server.put('part_need', { ...DEFAULTS.part_need, ...made, ...need, ...more } as PartNeed)
      for (const [id, name, kind, holder_id, level] of [
        ['shelf', 'Shelf A', 'shelf', null, '1'],
        ['truck', 'Truck 1', 'truck', 'me', inTruck],
      ] as const) {
        server.put('stock_place', {
          ...DEFAULTS.stock_place,
          ...made,
          id,
          name,
          kind,
          holder_id,
        } as StockPlace)
        const move = {
          id: `counted ${id}`,
          catalog_part_id: 'belt',
          place_id: id,
          quantity: level,
          counted_level: level,
          reason: 'counted',
          moved_at: made.created_at,
        }
        server.put('stock_move', { ...DEFAULTS.stock_move, ...made, ...move } as StockMove)
      }
    },
    () => <FitFromStock id="need" />,
  )

const chosen = () => [...root.querySelectorAll('select')].map(({ value }) => value)

test('a part is fitted from the member’s truck without a signal', async () => {
  await showFitting('3')
  // Known by its number, whatever marks it is written with.
  expect(chosen()).toEqual(['belt', 'truck'])
  await press(button(t.fit))
  expect(byId('part_need', 'need')).toMatchObject({ state: 'fitted', used_from_id: 'truck' })
  expect(byId('job', 'job')?.waits_on).toEqual([])
  expect(levelAt('belt', 'truck')).toBe('2')
  expect(allOf('stock_move').find(({ reason }) => reason === 'fitted')).toMatchObject({
    need_id: 'need',
    quantity: '-1',
  })
})

test('a part that costs more than agreed warns before it is taken from stock', async () => {
  await showFitting('3', { agreed_minor: 1400, price_minor: 1650 })
  expect(root.querySelector('.caution')?.textContent).toContain('2.50')
  await press(button(words.fitAnyway))
  expect(byId('part_need', 'need')?.state).toBe('fitted')
})

test('where the truck has none, a place that has is offered; taking the last one asks for more', async () => {
  await showFitting('0')
  expect(chosen()).toEqual(['belt', 'shelf'])
  expect(root.textContent).not.toContain(t.moreThanThere)
  await press(button(t.fit))
  expect(levelAt('belt', 'shelf')).toBe('0')
  const part = byId('catalog_part', 'belt')
  expect(part && missingOf(part)).toBe('2')
})

test('more than is there is said, and saved all the same', async () => {
  await showFitting('0')
  const place = root.querySelectorAll('select')[1] as HTMLSelectElement
  place.value = 'truck'
  place.dispatchEvent(new Event('change', { bubbles: true }))
  await press(root)
  expect(root.textContent).toContain(t.moreThanThere)
  await press(button(t.fit))
  expect(levelAt('belt', 'truck')).toBe('-1')
})
