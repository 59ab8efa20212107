// @vitest-environment happy-dom
import { act } from 'preact/test-utils'
import { beforeEach, expect, test, vi } from 'vitest'
import type { Customer, Job, JobStopKind, Machine, Shop, Site } from '../../../domain/contract'
import type { Phone } from '../../../store/fakes/phone'
import type { FakeServer } from '../../../store/fakes/server'
import { mayDo } from '../../../store/fakes/session'
import { born as bornAt, press, root, showScreen } from '../../fakes/screen'
import { NewStop } from './StopForm'

vi.mock('../../../store/session/session', () => import('../../../store/fakes/session'))

beforeEach(() => mayDo('drive_runs', 'manage_machines'))

const MEASURED = { mass_kg: 250, length_cm: 150 }
const UNMEASURED = { mass_kg: null, mass_typed: '', length_cm: null, length_typed: '' }
const ADDRESS = '12 Alder Row\nBellwether'

/** The form of a new pickup; the customer has an address on file and these sites. */
async function shown(
  sites: readonly Partial<Site>[] = [],
  machine: Partial<Machine> = MEASURED,
  kind: JobStopKind = 'pickup',
) {
  return showScreen(
    (server) => fill(server, sites, machine),
    () => <NewStop id="job" kind={kind} />,
  )
}

function fill(server: FakeServer, sites: readonly Partial<Site>[], machine: Partial<Machine>): void {
  const born = bornAt()
  const shop = { zone: 'America/Boise', week_start: 'monday', locale: 'en-US', currency: 'USD', units: 'us' }
  server.put('shop', { ...born, id: 'shop', ...shop } as Shop)
  server.put('customer', { ...born, id: 'customer', name: 'Wil Marsh', address: ADDRESS } as Customer)
  server.put('machine', {
    ...born,
    id: 'machine',
    customer_id: 'customer',
    kind: 'Chipper',
    make: '',
    model: '',
    ...machine,
  } as Machine)
  const other = { id: 'other', customer_id: 'else', kind: 'chipper', make: '', model: '', ...UNMEASURED }
  server.put('machine', { ...born, ...other, mass_kg: 313, mass_typed: '690 lb', length_cm: 152 } as Machine)
  for (const each of sites)
    server.put('site', {
      ...born,
      customer_id: 'customer',
      address: '',
      lat: null,
      lon: null,
      ...each,
    } as Site)
  const job = { id: 'job', customer_id: 'customer', machine_id: 'machine', site_id: null, promised_on: null }
  server.put('job', { ...born, ...job } as Job)
}

const option = (text: string) =>
  [...root.querySelectorAll<HTMLLabelElement>('label.option')].find((each) =>
    each.textContent?.startsWith(text),
  )

const save = () => press(root.querySelector<HTMLButtonElement>('button.primary-button'))
const commands = (from: Phone) => from.outbox.map(({ name, args }) => ({ name, args }))

test('the customer’s address is offered as the place, and is one with the stop, without a name asked', async () => {
  const at = await shown()
  expect(option('The customer’s address')?.querySelector('input')?.checked).toBe(true)
  await save()
  await vi.waitFor(() => expect(commands(at)).toHaveLength(2))
  const [site, stop] = commands(at)
  expect(site).toMatchObject({
    name: 'add_site',
    args: { customer_id: 'customer', label: '12 Alder Row', address: ADDRESS },
  })
  expect(stop).toMatchObject({ name: 'ask_stop', args: { job_id: 'job', site_id: site?.args['id'] } })
})

test('a place that has the address already is not offered twice', async () => {
  const at = await shown([{ id: 'home', label: 'Home', address: ADDRESS }])
  expect(option('The customer’s address')).toBeUndefined()
  await save()
  await vi.waitFor(() =>
    expect(commands(at)).toMatchObject([{ name: 'ask_stop', args: { site_id: 'home' } }]),
  )
})

test('another place is written on the stop itself, and what was typed of the stop stays', async () => {
  const at = await shown([{ id: 'home', label: 'Home' }])
  const notes = [...root.querySelectorAll('textarea')].at(-1)
  await act(() => {
    if (!notes) throw new Error('no notes')
    notes.value = 'Bring the long chain'
    notes.dispatchEvent(new InputEvent('input', { bubbles: true }))
  })
  await press(option('Another place')?.querySelector('input'))
  await save()
  expect(root.textContent).toContain('Pick the place, or enter its address')
  expect(commands(at)).toEqual([])
  const address = root.querySelector('textarea')
  await act(() => {
    if (!address) throw new Error('no address')
    address.value = 'The cabin, mile 9'
    address.dispatchEvent(new InputEvent('input', { bubbles: true }))
  })
  await save()
  await vi.waitFor(() =>
    expect(commands(at)).toMatchObject([
      { name: 'add_site', args: { label: 'The cabin, mile 9' } },
      { name: 'ask_stop', args: { notes: 'Bring the long chain' } },
    ]),
  )
})

const field = (label: string) => {
  const found = [...root.querySelectorAll('label')].find((each) => each.textContent?.startsWith(label))
  return found && root.querySelector<HTMLInputElement>(`[id="${found.htmlFor}"]`)
}

test('a machine without weight is asked for it, and what the shop noted of its kind is offered', async () => {
  const at = await shown([{ id: 'home', label: 'Home' }], UNMEASURED)
  expect(root.textContent).toContain('Without them, nothing is checked for this machine')
  const offer = [...root.querySelectorAll('button')].find((each) => each.textContent?.startsWith('Use 690'))
  expect(offer?.textContent).toBe('Use 690 lb, 59.8 inAs recorded for one other of type “Chipper”')
  await press(offer)
  await save()
  await vi.waitFor(() =>
    expect(commands(at)).toMatchObject([
      {
        name: 'edit_machine',
        args: {
          id: 'machine',
          base: { mass_kg: null, length_cm: null },
          set: { mass_kg: 313, mass_typed: '690 lb', length_cm: 152 },
        },
      },
      { name: 'ask_stop', args: { site_id: 'home' } },
    ]),
  )
})

test('weight and length are not compulsory, and a figure that cannot be read is pointed at', async () => {
  const at = await shown([{ id: 'home', label: 'Home' }], UNMEASURED)
  const weight = field('Weight (lb)')
  const type = (text: string) =>
    act(() => {
      if (!weight) throw new Error('no weight')
      weight.value = text
      weight.dispatchEvent(new InputEvent('input', { bubbles: true }))
    })
  await type('a lot')
  await save()
  expect(root.textContent).toContain('Enter a number above 0, or leave blank')
  expect(commands(at)).toEqual([])
  await type('')
  await save()
  await vi.waitFor(() => expect(commands(at)).toMatchObject([{ name: 'ask_stop' }]))
})

test.each<[string, Partial<Machine>, JobStopKind]>([
  ['one that is measured', MEASURED, 'pickup'],
  ['one that stays where it is', UNMEASURED, 'visit'],
])('%s is not asked for its weight', async (_, machine, kind) => {
  await shown([{ id: 'home', label: 'Home' }], machine, kind)
  expect(root.textContent).not.toContain('Without them nothing is checked')
})
